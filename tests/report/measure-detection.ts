import {
  type Car,
  driveTern,
  type ShiftTruth,
  STEADY_SAMPLING,
  TERN_PLATFORM,
  ternDrives,
  ternFleet,
  USUAL_SENSORS,
} from '@syncline/drivetrain';
import { analyseDrive, type CarFacts, DEFAULT_POLICY, type Grade, gradeShift, type Shift } from '@syncline/shifts';
import { type Matching, matchShifts } from './match-shifts.ts';

/** How detection did against the truth of simulated drives. Times in ms, speeds in rpm, shares from 0 to 1. */
export interface DetectionReport {
  readonly rateHz: number;
  readonly drives: number;
  readonly cars: number;
  readonly trueShifts: number;
  readonly foundShifts: number;
  readonly recall: number;
  readonly precision: number;
  readonly inertiaStartMs: ErrorFigures;
  readonly syncMs: ErrorFigures;
  /** Over shifts that flared in truth. */
  readonly flareRpm: ErrorFigures & { readonly within12Rpm: number };
  readonly tieUpDepth: ErrorFigures;
  readonly peakJerkShare: ErrorFigures;
  /** Counts of leading grades, truth by row, found by column. */
  readonly confusion: Readonly<Record<Grade, Readonly<Record<Grade, number>>>>;
  readonly lockUps: { readonly truth: number; readonly found: number; readonly matched: number };
}

export interface ErrorFigures {
  readonly count: number;
  /** Median of the signed error: a bias. */
  readonly bias: number;
  readonly medianAbsolute: number;
  readonly p95Absolute: number;
}

const ATTENTION_ORDER: readonly Grade[] = ['flare', 'tie-up', 'incomplete', 'harsh', 'slow', 'clean'];

interface Measured {
  readonly matching: Matching;
  readonly foundCount: number;
  readonly lockUps: DetectionReport['lockUps'];
}

/** Drives every car of the demo's club at one sampling rate and usual noise, and compares what is found with the truth. */
export function measureDetection({ rateHz, driveCount }: { rateHz: number; driveCount: number }): DetectionReport {
  const fleet = ternFleet(1);
  const plans = ternDrives(`detection:${rateHz}`, fleet.length, driveCount);
  const measured = plans.map((plan) => {
    const car = {
      ...fleet[plan.carIndex]!,
      sensors: USUAL_SENSORS,
      sampling: { ...STEADY_SAMPLING, rateHz, jitter: 0.05 },
    };
    const { log, truth, lockUpTruth } = driveTern(plan, car);
    const { shifts, lockUps } = analyseDrive([{ startIndex: 0, timeS: log.timeS, signals: log.signals }], {
      platform: TERN_PLATFORM,
      car: factsOf(car),
    });
    const matched = lockUpTruth.filter((real) =>
      lockUps.some((found) => Math.abs(found.commandS - real.commandS) < 0.5),
    );
    return {
      matching: matchShifts(shifts, truth),
      foundCount: shifts.length,
      lockUps: { truth: lockUpTruth.length, found: lockUps.length, matched: matched.length },
    };
  });
  return summarise(measured, { rateHz, drives: plans.length, cars: fleet.length });
}

function factsOf(car: Car): CarFacts {
  return {
    ratedInputTorqueNm: TERN_PLATFORM.ratedInputTorqueNm,
    inputInertiaKgM2: car.inputInertiaKgM2,
    tyreRadiusM: car.vehicle.tyreRadiusM,
    finalDriveRatio: car.vehicle.finalDriveRatio,
  };
}

function summarise(
  measured: readonly Measured[],
  head: { rateHz: number; drives: number; cars: number },
): DetectionReport {
  const pairs = measured.flatMap(({ matching }) => matching.pairs);
  const missed = sum(measured.map(({ matching }) => matching.missed.length));
  const invented = sum(measured.map(({ matching }) => matching.invented.length));
  const whole = pairs.filter(({ truth }) => truth.outcome === 'complete');
  const flared = whole.filter(({ truth }) => truth.flareRpm > 0);
  const flareErrors = flared.map(({ found, truth }) => found.measures.flareRpm - truth.flareRpm);
  return {
    ...head,
    trueShifts: pairs.length + missed,
    foundShifts: sum(measured.map(({ foundCount }) => foundCount)),
    recall: pairs.length / (pairs.length + missed),
    precision: pairs.length / (pairs.length + invented),
    inertiaStartMs: figures(
      differences(
        whole,
        (s) => s.inertiaStartS,
        (t) => t.inertiaStartS,
        1000,
      ),
    ),
    syncMs: figures(
      differences(
        whole,
        (s) => s.syncS,
        (t) => t.syncS,
        1000,
      ),
    ),
    flareRpm: { ...figures(flareErrors), within12Rpm: share(flareErrors, (error) => Math.abs(error) <= 12) },
    tieUpDepth: figures(
      differences(
        whole.filter(({ truth }) => truth.isPowerOn && truth.to > truth.from),
        (s) => s.measures.tieUpDepth,
        (t) => t.tieUpDepth,
        1,
      ),
    ),
    peakJerkShare: figures(
      whole.flatMap(({ found, truth }) =>
        found.measures.peakJerk === null || truth.peakJerk < 1 ? [] : [found.measures.peakJerk / truth.peakJerk - 1],
      ),
    ),
    confusion: confusionOf(whole),
    lockUps: {
      truth: sum(measured.map(({ lockUps }) => lockUps.truth)),
      found: sum(measured.map(({ lockUps }) => lockUps.found)),
      matched: sum(measured.map(({ lockUps }) => lockUps.matched)),
    },
  };
}

type Pairs = Matching['pairs'];

function differences(
  pairs: Pairs,
  found: (shift: Shift) => number | null,
  truth: (shift: ShiftTruth) => number | null,
  scale: number,
): number[] {
  return pairs.flatMap((pair) => {
    const seen = found(pair.found);
    const real = truth(pair.truth);
    return seen === null || real === null ? [] : [(seen - real) * scale];
  });
}

function confusionOf(pairs: Pairs): DetectionReport['confusion'] {
  const emptyRow = () => Object.fromEntries(ATTENTION_ORDER.map((grade) => [grade, 0])) as Record<Grade, number>;
  const table = Object.fromEntries(ATTENTION_ORDER.map((grade) => [grade, emptyRow()])) as Record<
    Grade,
    Record<Grade, number>
  >;
  for (const { found, truth } of pairs) {
    table[leading(gradeShift(withTruth(found, truth), DEFAULT_POLICY, truth.program))][
      leading(gradeShift(found, DEFAULT_POLICY, truth.program))
    ] += 1;
  }
  return table;
}

/** The shift as a perfect instrument would have measured it, so that the same policy grades the truth. */
function withTruth(found: Shift, truth: ShiftTruth): Shift {
  return {
    ...found,
    at: { ...found.at, load: truth.at.load },
    measures: {
      ...found.measures,
      flareRpm: truth.flareRpm,
      flareMs: truth.flareMs,
      tieUpDepth: truth.tieUpDepth,
      peakJerk: truth.peakJerk,
      inertiaTimeS: truth.inertiaTimeS,
      shiftTimeS: truth.syncS === null ? null : truth.syncS - truth.commandS,
    },
  };
}

function leading(grades: readonly Grade[]): Grade {
  return ATTENTION_ORDER.find((grade) => grades.includes(grade)) ?? 'clean';
}

function figures(errors: readonly number[]): ErrorFigures {
  const absolute = errors.map(Math.abs);
  return {
    count: errors.length,
    bias: quantile(errors, 0.5),
    medianAbsolute: quantile(absolute, 0.5),
    p95Absolute: quantile(absolute, 0.95),
  };
}

function quantile(values: readonly number[], at: number): number {
  if (values.length === 0) return Number.NaN;
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(at * sorted.length))]!;
}

function share(values: readonly number[], holds: (value: number) => boolean): number {
  return values.filter(holds).length / values.length;
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
