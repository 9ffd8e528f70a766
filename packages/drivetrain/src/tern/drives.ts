import type { Car } from '../car.js';
import { makeRandom } from '../random.js';
import { type RouteKind, randomRoute } from '../random-route.js';
import { type SimulatedDrive, simulateDrive } from '../simulate-drive.js';
import type { DriveSetup } from '../simulate-trace.js';
import { type TernRevision, ternCalibration } from './calibration.js';
import { TERN_GEARBOX, TERN_LAYOUT } from './platform.js';

/** One drive of the demo, before it is driven. */
export interface PlannedDrive {
  readonly id: string;
  /** Position of the car in the fleet. */
  readonly carIndex: number;
  readonly revision: TernRevision;
  readonly program: string;
  readonly kind: RouteKind;
  readonly durationS: number;
  readonly startTemperatureC: number;
  readonly ambientC: number;
  /** Scales the driver's accelerations. */
  readonly briskness: number;
  /** Days and seconds of the day after the start of the story. */
  readonly day: number;
  readonly timeOfDayS: number;
  readonly seed: string;
}

/** Days over which the story runs: first map, second for half of the cars and then all, then the third likewise. */
const STORY_DAYS = 63;
const SECOND_FROM = [21, 28] as const;
const THIRD_FROM = [42, 47] as const;

/** The drives of the demo in the order in which they were made. Deterministic for a seed. */
export function ternDrives(seed: string | number, carCount: number, driveCount = 150): PlannedDrive[] {
  const random = makeRandom(`drives:${seed}`);
  const drives = Array.from({ length: driveCount }, (_, i): PlannedDrive => {
    const carIndex = i % carCount;
    const day = Math.floor(random.between(0, STORY_DAYS));
    const isCold = random.uniform() < 0.35;
    const ambientC = random.between(-2, 24);
    return {
      id: `drive-${String(i + 1).padStart(3, '0')}`,
      carIndex,
      revision: revisionOn(day, carIndex),
      program: random.pick(['calm', 'normal', 'normal', 'brisk']),
      kind: random.pick(['town', 'town', 'country', 'hill', 'mixed']),
      durationS: Math.round(random.between(300, 560)),
      startTemperatureC: isCold ? ambientC : random.between(55, 95),
      ambientC,
      briskness: random.between(0.85, 1.6),
      day,
      timeOfDayS: Math.floor(random.between(7, 20) * 3600),
      seed: `${seed}:${i}`,
    };
  });
  return drives.sort((a, b) => a.day - b.day || a.timeOfDayS - b.timeOfDayS);
}

function revisionOn(day: number, carIndex: number): TernRevision {
  const cohort = carIndex % 2;
  if (day >= THIRD_FROM[cohort]) return 'r3';
  return day >= SECOND_FROM[cohort] ? 'r2' : 'r1';
}

/** What the simulator needs to drive a planned drive. */
export function ternSetup(drive: PlannedDrive, car: Car): DriveSetup & { readonly seed: string } {
  return {
    gearbox: TERN_GEARBOX,
    layout: TERN_LAYOUT,
    car,
    content: ternCalibration(drive.revision),
    program: drive.program,
    route: randomRoute(drive.kind, drive.durationS, drive.seed, drive.briskness),
    startTemperatureC: drive.startTemperatureC,
    ambientC: drive.ambientC,
    seed: drive.seed,
  };
}

/** Drives a planned drive. */
export function driveTern(drive: PlannedDrive, car: Car): SimulatedDrive {
  return simulateDrive(ternSetup(drive, car));
}
