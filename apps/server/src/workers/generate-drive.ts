import { createHash } from 'node:crypto';
import { type Car, driveTern, type PlannedDrive, writeCsvLog } from '@syncline/drivetrain';

export interface GenerateTask {
  readonly drive: PlannedDrive;
  readonly car: Car;
  /** Start of the drive. */
  readonly startUtcMs: number;
}

/** A drive log as the car's logger would have written it. */
export interface GeneratedDrive {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly sha256: string;
}

/** Simulates a drive and writes it down as CSV. Entry point of the demo's own worker threads. */
export function generateDrive({ drive, car, startUtcMs }: GenerateTask): GeneratedDrive {
  const { log } = driveTern(drive, car);
  const chunks = [...writeCsvLog(log, car.dialect, startUtcMs)];
  const bytes = new Uint8Array(chunks.reduce((length, chunk) => length + chunk.length, 0));
  let offset = 0;
  for (const chunk of chunks) {
    bytes.set(chunk, offset);
    offset += chunk.length;
  }
  return { bytes, sha256: createHash('sha256').update(bytes).digest('hex') };
}
