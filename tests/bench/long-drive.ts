import { createWriteStream, existsSync, mkdirSync, renameSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import {
  type Car,
  type DriveLog,
  driveTern,
  MARRAM_DIALECT,
  type PlannedDrive,
  STEADY_SAMPLING,
  ternFleet,
  withColumns,
  writeCsvLog,
} from '@syncline/drivetrain';

const SEED = 'long drive';
const STAGE_S = 1200;
const STAGES = [
  { kind: 'town', program: 'calm', briskness: 1 },
  { kind: 'mixed', program: 'normal', briskness: 1.2 },
  { kind: 'country', program: 'brisk', briskness: 1.5 },
] as const;
const LEFT_OUT = ['brake', 'linePressure', 'valveOn'];

/** The Marram logger with twelve columns: time and eleven signals. */
export const TWELVE_COLUMNS = withColumns(
  MARRAM_DIALECT,
  (column) => column.kind !== 'signal' || !LEFT_OUT.includes(column.signal),
);

/** A car of the simulator whose logger takes 100 samples a second. */
export const LONG_DRIVE_CAR: Car = {
  ...(ternFleet(SEED, 2)[1] as Car),
  sampling: STEADY_SAMPLING,
  dialect: TWELVE_COLUMNS,
};

/**
 * A drive log of `megabytes` MB as CSV, in the folder for temporary files; written once, and the same each time. It is an
 * hour of town, mixed and country roads that is driven again and again, its times going on: every stage begins and ends
 * at a standstill, so that it is one drive.
 */
export async function longDriveFile(megabytes: number): Promise<string> {
  const folder = join(tmpdir(), 'syncline-bench');
  const path = join(folder, `drive-${megabytes}.csv`);
  if (existsSync(path)) return path;
  mkdirSync(folder, { recursive: true });
  await pipeline(Readable.from(longDrive(megabytes * 1e6)), createWriteStream(`${path}.part`));
  renameSync(`${path}.part`, path);
  console.log(`wrote ${path}, ${(statSync(path).size / 1e6).toFixed(1)} MB`);
  return path;
}

/** Chunks of the log, ended at the end of the line that reaches the size. */
function* longDrive(sizeBytes: number): Generator<Uint8Array> {
  const stages = STAGES.map((stage, i) => driveTern(planned(stage, i), LONG_DRIVE_CAR).log);
  let written = 0;
  let startS = 0;
  for (let i = 0; ; i++) {
    const log = stages[i % stages.length] as DriveLog;
    const [head, ...body] = writeCsvLog(startingAt(log, startS), TWELVE_COLUMNS);
    for (const chunk of i === 0 ? [head as Uint8Array, ...body] : body) {
      const whole = written + chunk.length < sizeBytes ? chunk : untilLineEnd(chunk, sizeBytes - written);
      written += whole.length;
      yield whole;
      if (written >= sizeBytes) return;
    }
    startS += STAGE_S;
  }
}

function planned(stage: (typeof STAGES)[number], i: number): PlannedDrive {
  return {
    ...stage,
    id: `stage-${i}`,
    carIndex: 1,
    revision: 'r1',
    durationS: STAGE_S,
    startTemperatureC: 40 + 20 * i,
    ambientC: 12,
    day: 0,
    timeOfDayS: 0,
    seed: `${SEED}:${i}`,
  };
}

function startingAt(log: DriveLog, startS: number): DriveLog {
  return { ...log, timeS: log.timeS.map((timeS) => timeS + startS) };
}

function untilLineEnd(chunk: Uint8Array, leastBytes: number): Uint8Array {
  return chunk.subarray(0, chunk.indexOf(10, Math.max(0, leastBytes - 1)) + 1);
}
