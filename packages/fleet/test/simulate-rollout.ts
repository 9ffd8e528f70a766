import {
  carsOfStage,
  hasStageEvidence,
  type PlacedCar,
  placeInRollout,
  type RolloutStage,
} from '../src/monitor/rollout-stages.ts';
import { type WatchedMeasure, type WatchedRow, watchRollout } from '../src/monitor/watch-rollout.ts';
import { Draws } from './random.ts';

/** Six load bands from light to heavy: share of driving, and share of shifts with a flare and that are harsh. */
const MIX = [0.18, 0.22, 0.2, 0.17, 0.13, 0.1];
const RATES: Readonly<Record<WatchedMeasure, readonly number[]>> = {
  flare: [0.04, 0.05, 0.06, 0.07, 0.08, 0.1],
  harsh: [0.02, 0.02, 0.03, 0.03, 0.04, 0.05],
};
/** By how much cars differ, and drives of one car: variance of a factor of mean 1. */
const CAR_VARIANCE = 0.5;
const DRIVE_VARIANCE = 0.1;
const CARS = 40;
/** Drives of each car under the revision replaced. */
const OLDER_DRIVES = 15;
const DRIVES_A_DAY = 0.3;
const MAX_DAYS = 400;

/** 4 of 40 cars, 10, 20, all. */
export const LADDER: readonly RolloutStage[] = [
  { size: { kind: 'share', share: 0.1 }, minShifts: 1000, minVehicles: 3 },
  { size: { kind: 'share', share: 0.25 }, minShifts: 8000, minVehicles: 6 },
  { size: { kind: 'share', share: 0.5 }, minShifts: 10_000, minVehicles: 12 },
  { size: { kind: 'share', share: 1 }, minShifts: 12_000, minVehicles: 20 },
];

export interface RolloutResult {
  readonly isHeld: boolean;
  /** Share of the fleet that had the revision in the end. */
  readonly share: number;
  /** Driven under the released revision. */
  readonly shifts: number;
  readonly days: number;
}

interface SimulatedCar extends PlacedCar {
  readonly factors: Readonly<Record<WatchedMeasure, number>>;
}

/**
 * A rollout from its first stage until it is held or complete: every day each car that has the revision drives with some
 * probability, the monitor looks, and the next stage begins as soon as evidence and monitor allow. The released revision
 * has `ratio` times the flares in one load band, drawn anew for each seed, and is else like the one replaced.
 */
export function simulateRollout(seed: number, ratio: number, stopAboveShare = 1): RolloutResult {
  const draws = new Draws(seed);
  const wrongBand = Math.floor(draws.uniform() * MIX.length);
  const fleet = Array.from({ length: CARS }, (_, i): SimulatedCar => {
    const vehicleId = `car ${i}`;
    const factors = { flare: draws.gammaOfMeanOne(CAR_VARIANCE), harsh: draws.gammaOfMeanOne(CAR_VARIANCE) };
    return { vehicleId, place: placeInRollout(`release ${seed}`, vehicleId), factors };
  });
  const rows: WatchedRow[] = [];
  let drives = 0;
  const drive = (car: SimulatedCar, revision: 'older' | 'newer'): number => {
    drives += 1;
    const shifts = 60 + Math.floor(draws.uniform() * 100);
    const isWrong = (band: number) => revision === 'newer' && band === wrongBand;
    rows.push(
      ...driveRows(draws, { car, revision, drive: String(drives), shifts, ratioIn: (b) => (isWrong(b) ? ratio : 1) }),
    );
    return shifts;
  };
  const taken = new Set<string>();
  const drove = new Set<string>();
  let stage = 0;
  let shifts = 0;
  for (let days = 1; days <= MAX_DAYS; days += 1) {
    const members = carsOfStage(LADDER[stage], fleet, taken);
    for (const car of members.filter(({ vehicleId }) => !taken.has(vehicleId))) {
      taken.add(car.vehicleId);
      for (let i = 0; i < OLDER_DRIVES; i += 1) drive(car, 'older');
    }
    const share = taken.size / CARS;
    if (share > stopAboveShare) return { isHeld: false, share, shifts, days };
    for (const car of members) {
      if (draws.uniform() >= DRIVES_A_DAY) continue;
      shifts += drive(car, 'newer');
      drove.add(car.vehicleId);
    }
    const { verdict } = watchRollout(rows, { loadBands: MIX.length });
    if (verdict === 'harm') return { isHeld: true, share, shifts, days };
    if (verdict === 'doubtful' || !hasStageEvidence(LADDER[stage], { shifts, vehicles: drove.size })) continue;
    if (stage === LADDER.length - 1) return { isHeld: false, share, shifts, days };
    stage += 1;
  }
  return { isHeld: false, share: taken.size / CARS, shifts, days: MAX_DAYS };
}

function driveRows(
  draws: Draws,
  input: {
    readonly car: SimulatedCar;
    readonly revision: 'older' | 'newer';
    readonly drive: string;
    readonly shifts: number;
    readonly ratioIn: (band: number) => number;
  },
): WatchedRow[] {
  const { car, revision, drive, ratioIn } = input;
  const day = { flare: draws.gammaOfMeanOne(DRIVE_VARIANCE), harsh: draws.gammaOfMeanOne(DRIVE_VARIANCE) };
  const counts = MIX.map(() => ({ flare: { shifts: 0, events: 0 }, harsh: { shifts: 0, events: 0 } }));
  for (let i = 0; i < input.shifts; i += 1) {
    const band = drawBand(draws);
    for (const measure of ['flare', 'harsh'] as const) {
      const rate =
        RATES[measure][band] * car.factors[measure] * day[measure] * (measure === 'flare' ? ratioIn(band) : 1);
      counts[band][measure].shifts += 1;
      if (draws.uniform() < rate) counts[band][measure].events += 1;
    }
  }
  return counts.map((outcomes, loadBand) => {
    return { vehicle: car.vehicleId, drive, revision, stratum: `${loadBand}`, loadBand, outcomes };
  });
}

function drawBand(draws: Draws): number {
  let rest = draws.uniform();
  for (const [band, share] of MIX.entries()) {
    if (rest < share) return band;
    rest -= share;
  }
  return MIX.length - 1;
}
