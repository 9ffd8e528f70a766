import { setTimeout as sleep } from 'node:timers/promises';
import type { LogSummary, OverviewResponse, VehicleResponse } from '@syncline/contract';
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
const LOOK_EVERY_MS = 100;

/**
 * Tells what the bus of every car speaks before any of them runs a map. The maintainer looks into one car of each
 * dialect and learns from its capture; the captures of the others are held against that. The car whose label lies is
 * let in with a reason. Returns how many captures were uploaded.
 */
export async function confirmDialects(plan: ConfirmPlan): Promise<number> {
  const { maintainer, cars } = plan;
  const looked = (await Promise.all(TERN_BUSES.map((bus) => lookInto(plan, bus)))).flat();
  await whenChecked(maintainer);
  for (const { bus, captureId } of looked) {
    await maintainer.client.post(`${dialectPath(bus)}/learn`, { captureIds: [captureId] });
  }
  const others = cars.filter((car) => !looked.some((one) => one.car === car));
  await Promise.all(others.map((car) => uploadCapture(plan, car)));
  await whenChecked(maintainer);
  for (const { vehicleId } of cars) await letIn(maintainer, vehicleId);
  return cars.length;
}

function isHonest(spoken: string, declared: string, bus: BusDialect): boolean {
  return spoken === bus.id && declared === bus.id;
}

function dialectPath(bus: BusDialect): string {
  return `/platforms/${TERN_PLATFORM.id}/dialects/${bus.id}`;
}

/** A small fleet may have no car of a dialect to look into. */
async function lookInto(plan: ConfirmPlan, bus: BusDialect) {
  const { client } = plan.maintainer;
  await client.put(`${dialectPath(bus)}/signals`, { signals: busSignalsOf(bus) });
  const car = plan.cars.find(({ car: { dialect, declaredDialectId } }) => isHonest(dialect.id, declaredDialectId, bus));
  if (!car) return [];
  await client.post(`/vehicles/${car.vehicleId}/observations`, {
    dialect: bus.id,
    source: 'inspection',
    note: `Looked at the connector and at the frames themselves: ${bus.title}.`,
  });
  const { id } = await uploadCapture(plan, car);
  return [{ bus, car, captureId: id }];
}

/** One person looks for all: each look costs the server time that the captures need. */
async function whenChecked({ client }: Member): Promise<void> {
  const overview = `/fleet/overview?platform=${TERN_PLATFORM.id}`;
  while ((await client.get<OverviewResponse>(overview)).waitingLogs > 0) await sleep(LOOK_EVERY_MS);
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
