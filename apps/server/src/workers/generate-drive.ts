import { createHash } from 'node:crypto';
import {
  type BusDialect,
  type Car,
  driveTern,
  type PlannedDrive,
  ternIdle,
  writeCandumpLog,
  writeCsvLog,
} from '@syncline/drivetrain';

export interface GenerateTask {
  readonly drive: PlannedDrive;
  readonly car: Car;
  /** Start of the drive. */
  readonly startUtcMs: number;
}

export interface CaptureTask {
  readonly car: Car;
  readonly bus: BusDialect;
  readonly startUtcMs: number;
}

/** A log as the car's logger would have written it. */
export interface GeneratedLog {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly sha256: string;
}

/** Long enough to tell a dialect by (s). */
const CAPTURE_S = 30;

/** Simulates a drive and writes it down as CSV. Entry point of the demo's own worker threads. */
export function generateDrive({ drive, car, startUtcMs }: GenerateTask): GeneratedLog {
  const { log } = driveTern(drive, car);
  return together([...writeCsvLog(log, car.dialect, startUtcMs)]);
}

/** Writes down what the bus of an idling car carries. Entry point of the demo's own worker threads. */
export function generateCapture({ car, bus, startUtcMs }: CaptureTask): GeneratedLog {
  const options = { startUtcMs, seed: car.id, jitter: 0.04, lostShare: 0.002 };
  return together([...writeCandumpLog(ternIdle(car, CAPTURE_S), bus, options)]);
}

function together(chunks: readonly Uint8Array[]): GeneratedLog {
  const bytes = new Uint8Array(chunks.reduce((length, chunk) => length + chunk.length, 0));
  let offset = 0;
  for (const chunk of chunks) {
    bytes.set(chunk, offset);
    offset += chunk.length;
  }
  return { bytes, sha256: createHash('sha256').update(bytes).digest('hex') };
}
