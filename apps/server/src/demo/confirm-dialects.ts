import { setTimeout as sleep } from 'node:timers/promises';
import type { LogResponse, LogSummary, VehicleResponse } from '@syncline/contract';
import { type BusDialect, busSignalsOf, TERN_BUSES, TERN_PLATFORM } from '@syncline/drivetrain';
import type { DriveGenerator } from './drive-generator.js';
import type { EnteredCar } from './enter-cars.js';
import type { Member } from './found-club.js';

interface ConfirmPlan {
  readonly maintainer: Member;
  readonly cars: readonly EnteredCar[];
  readonly generator: DriveGenerator;
  /** Midnight before the first day of the story. */
  readonly storyStartMs: number;
}

const HOUR_MS = 3600_000;
const LOOK_EVERY_MS = 50;
const UNDER_WAY = ['waiting', 'decoding', 'analysing'];

/**
 * Tells what the bus of every car speaks before any of them runs a map. The maintainer looks into one car of each
 * dialect and learns from its capture; the captures of the others are held against that. The car whose label lies is
 * let in with a reason. Returns how many captures were uploaded.
 */
export async function confirmDialects(plan: ConfirmPlan): Promise<number> {
  const { maintainer, cars } = plan;
  const looked = await Promise.all(
    TERN_BUSES.map(async (bus) => {
      const signals = busSignalsOf(bus);
      await maintainer.client.put(`${dialectPath(bus)}/signals`, { signals });
      const car = cars.find(({ car: { dialect, declaredDialectId } }) => isHonest(dialect.id, declaredDialectId, bus));
      return car && lookInto(plan, car, bus);
    }),
  );
  await Promise.all(cars.filter((car) => !looked.includes(car)).map((car) => uploadCapture(plan, car)));
  for (const { vehicleId } of cars) await letIn(maintainer, vehicleId);
  return cars.length;
}

function isHonest(spoken: string, declared: string, bus: BusDialect): boolean {
  return spoken === bus.id && declared === bus.id;
}

function dialectPath(bus: BusDialect): string {
  return `/platforms/${TERN_PLATFORM.id}/dialects/${bus.id}`;
}

async function lookInto(plan: ConfirmPlan, car: EnteredCar, bus: BusDialect): Promise<EnteredCar> {
  const { client } = plan.maintainer;
  await client.post(`/vehicles/${car.vehicleId}/observations`, {
    dialect: bus.id,
    source: 'inspection',
    note: `Looked at the connector and at the frames themselves: ${bus.title}.`,
  });
  const { id } = await uploadCapture(plan, car);
  await client.post(`${dialectPath(bus)}/learn`, { captureIds: [id] });
  return car;
}

/** Half a minute of the idling car's bus, the evening before the story begins. */
async function uploadCapture(plan: ConfirmPlan, { car, owner, vehicleId }: EnteredCar): Promise<LogSummary> {
  const bus = TERN_BUSES.find(({ id }) => id === car.dialect.id);
  if (!bus) throw new Error(`no bus speaks '${car.dialect.id}'`);
  await owner.client.put(`/vehicles/${vehicleId}/signal-map?format=candump`, mapOf(bus));
  const startUtcMs = plan.storyStartMs - 6 * HOUR_MS;
  const { bytes, sha256 } = await plan.generator.capture({ car, bus, startUtcMs });
  const query = new URLSearchParams({
    vehicle: vehicleId,
    fileName: `${car.tester.toLowerCase().replaceAll(' ', '-')}-bus.log`,
    drivenAt: new Date(startUtcMs).toISOString(),
    sha256,
  });
  const { log } = await owner.client.upload<{ log: LogSummary }>(`/logs?${query.toString()}`, bytes);
  while (UNDER_WAY.includes((await owner.client.get<LogResponse>(`/logs/${log.id}`)).state)) await sleep(LOOK_EVERY_MS);
  return log;
}

/** What its owner says that the signals of the list are. */
function mapOf({ frames }: BusDialect) {
  const signals = frames.flatMap((frame) =>
    frame.signals.map(({ signal, name, unit }) => ({ signal, column: name, unit })),
  );
  return { time: { column: 'time', format: 'seconds' }, signals };
}

async function letIn({ client }: Member, vehicleId: string): Promise<void> {
  const { isDialectCleared, observedDialect } = await client.get<VehicleResponse>(`/vehicles/${vehicleId}`);
  if (isDialectCleared) return;
  await client.post(`/vehicles/${vehicleId}/dialect/decisions`, {
    decision: 'accept',
    reason: `Its control unit came out of another car and kept the label. Gearbox and frames were looked at: ${observedDialect} it is.`,
  });
}
