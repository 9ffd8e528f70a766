import { setTimeout as sleep } from 'node:timers/promises';
import type { Inspection, LogResponse, LogSummary, SignalMapDocument } from '@syncline/contract';
import type { LogDialect, PlannedDrive } from '@syncline/drivetrain';
import type { DriveGenerator } from './drive-generator.js';
import type { EnteredCar } from './enter-cars.js';

interface UploadPlan {
  readonly generator: DriveGenerator;
  /** By their place in the fleet. */
  readonly cars: readonly EnteredCar[];
  readonly drives: readonly PlannedDrive[];
  /** Midnight before the first day of the story. */
  readonly storyStartMs: number;
}

const DAY_S = 24 * 3600;

/** Drives every planned drive and uploads it for the owner of its car, several at once. */
export async function uploadDrives(plan: UploadPlan): Promise<void> {
  const firsts = await mapColumns(plan);
  const rest = plan.drives.filter((drive) => !firsts.includes(drive)).values();
  // One more than there are threads, so that none waits while a drive is uploaded.
  const lanes = Array.from({ length: plan.generator.threadCount + 1 }, async () => {
    for (const drive of rest) await uploadDrive(plan, drive);
  });
  await Promise.all(lanes);
}

/**
 * For each dialect one owner uploads a drive, is shown what its columns were taken for, and completes it; the others
 * take the map over. Returns the drives that this was done with.
 */
async function mapColumns(plan: UploadPlan): Promise<PlannedDrive[]> {
  const dialects = [...new Set(plan.cars.map(({ car }) => car.dialect.id))];
  return Promise.all(
    dialects.map(async (dialect) => {
      const speakers = plan.cars.filter(({ car }) => car.dialect.id === dialect);
      const first = plan.drives.find((drive) => plan.cars[drive.carIndex].car.dialect.id === dialect);
      if (!first) throw new Error(`no drive in the dialect '${dialect}'`);
      const { id: logId } = await uploadDrive(plan, first);
      const speaker = plan.cars[first.carIndex];
      const map = completeMap(await waitForInspection(speaker, logId), speaker.car.dialect);
      for (const { owner, vehicleId } of speakers) await owner.client.put(`/vehicles/${vehicleId}/signal-map`, map);
      return first;
    }),
  );
}

async function waitForInspection({ owner }: EnteredCar, logId: string): Promise<Inspection> {
  for (;;) {
    const { state, inspection, problem } = await owner.client.get<LogResponse>(`/logs/${logId}`);
    if (state === 'awaitingMap' && inspection) return inspection;
    if (state === 'failed') throw new Error(`The first drive cannot be read: ${problem?.detail}`);
    await sleep(50);
  }
}

/** The suggestion, with what its owner knows and it could not tell from the names of the columns. */
function completeMap({ suggestion, columns }: Inspection, dialect: LogDialect): SignalMapDocument {
  if (!suggestion) throw new Error(`no column of the dialect '${dialect.id}' looks like time`);
  const isMissing = (signal: string) => !suggestion.signals.some((entry) => entry.signal === signal);
  const added = dialect.columns.flatMap((column) => {
    if (column.kind !== 'signal' || !isMissing(column.signal)) return [];
    const found = columns.find(({ name }) => name === column.name || name.startsWith(`${column.name} [`));
    return found ? [{ signal: column.signal, column: found.name, unit: column.unit }] : [];
  });
  return { ...suggestion, signals: [...suggestion.signals, ...added] };
}

async function uploadDrive({ generator, cars, storyStartMs }: UploadPlan, drive: PlannedDrive): Promise<LogSummary> {
  const { car, owner, vehicleId } = cars[drive.carIndex];
  const startUtcMs = storyStartMs + (drive.day * DAY_S + drive.timeOfDayS) * 1000;
  const { bytes, sha256 } = await generator.generate({ drive, car, startUtcMs });
  const query = new URLSearchParams({
    vehicle: vehicleId,
    fileName: `${car.tester.toLowerCase().replaceAll(' ', '-')}-${drive.id}.csv`,
    drivenAt: new Date(startUtcMs).toISOString(),
    sha256,
  });
  const { log } = await owner.client.upload<{ log: LogSummary }>(`/logs?${query.toString()}`, bytes);
  return log;
}
