import {
  CalibrationError,
  evaluateRule,
  type Layout,
  type OperatingPoint,
  type RevisionContent,
} from '@syncline/calibration';
import {
  type BenchPoint,
  idealPressureFactor,
  makeShiftLayout,
  matchedContent,
  ShiftBench,
} from '@syncline/drivetrain';
import {
  type CorrectionEstimate,
  type DesignRow,
  designRows,
  type NodeDesign,
  normalQuantile,
  operatingPointOf,
} from '@syncline/fleet';
import { type GradingPolicy, gradeShift, type Shift } from '@syncline/shifts';
import type { EvidenceShift, ProposalInputs, ReadStore } from '@syncline/store';
import { benchCar, benchGearbox } from './bench-car.js';
import type { OpenedBase } from './estimate-fleet.js';
import type { PreviewCounts, PreviewOutcome } from './preview-task.js';

/** Shifts that are tried: enough for rates to a few per cent. */
const MOST_SHIFTS = 240;
/** Of one car, so that no car speaks for all. */
const MOST_PER_CAR = 25;
/** A model that takes longer is not worth waiting for (ms). */
const LONGEST_MS = 20_000;
const STEP_S = 0.005;
const USUAL_TEMPERATURE_C = 80;
/** Pressures that differ by less (ln) are the same to a control unit. */
const SAME_LN = 5e-4;

/** The golden ratio's fraction: its multiples fill the unit interval evenly, so that a spread needs no random numbers. */
const GOLDEN = 0.6180339887498949;

/** What the estimate says of the club's cars, all that the simulated ones are fitted to. */
export type BenchFit = Pick<CorrectionEstimate, 'correctionLn' | 'trims'> & { readonly residualSd: number };

/** Content that is tried in the place of the base. */
export interface Candidate {
  readonly layout: Layout;
  readonly content: RevisionContent;
}

/**
 * Tries other content on simulated cars at points that were really driven. Each car has its own profile; the pressure it
 * is given is off from what the simulator finds ideal there by what the estimate says that the car is off, and by what
 * one shift differs from the next, the same before and after the change.
 */
export function benchPreview(
  { read }: ReadStore,
  inputs: ProposalInputs,
  { platform, subject, design }: OpenedBase,
  fit: BenchFit,
  candidate: Candidate,
): PreviewOutcome {
  if (subject.kind !== 'rule') return { kind: 'impossible', reason: 'Only pressures are tried on simulated cars.' };
  if (!candidate.layout.rules.some(({ id }) => id === subject.ruleId)) {
    return { kind: 'impossible', reason: `Layout ${candidate.layout.version} has no rule '${subject.ruleId}'.` };
  }
  const bench = makeBench(platform, design.rule.returnPressureKpa ?? 0);
  if (typeof bench === 'string') return { kind: 'impossible', reason: bench };
  const policy =
    read.platforms.findPolicy(platform.id, inputs.gradingPolicyVersion) ?? read.platforms.find(platform.id)?.policy;
  if (!policy) throw new Error(`platform ${platform.id} has no policy`);
  const isOff = pressureErrors(fit);
  const rowAt = designRows(design);
  const changeAt = pressureChange(design, candidate);
  const counts = new Map<string, PreviewCounts>();
  const cars = new Set<string>();
  let [leftOut, changed] = [0, 0];
  const endMs = performance.now() + LONGEST_MS;
  for (const [i, { vehicleId, evidence }] of sample(read, inputs).entries()) {
    const profile = read.vehicles.find({}, vehicleId);
    const { shift, program } = evidence;
    const driven = operatingPointOf(shift, platform, program);
    const row = rowAt(driven);
    const point = benchPoint(shift, program ?? platform.programs[0].id);
    const change = row.kind === 'row' ? changeAt(driven) : null;
    if (!profile || row.kind !== 'row' || change === null || !point || performance.now() > endMs) {
      leftOut += 1;
      continue;
    }
    const car = benchCar(vehicleId, profile);
    const ideal = idealPressureFactor(bench, car, point);
    const scatterLn = (normalQuantile(((i + 0.5) * GOLDEN) % 1) * fit.residualSd) / row.gain;
    const offLn = isOff(vehicleId, shift.kind, row) + scatterLn;
    const grade = (ln: number) =>
      ideal && gradesOf(bench, { car, point, factor: ideal * Math.exp(ln) }, shift, policy, program);
    const [before, after] = [grade(offLn), grade(offLn + change)];
    if (!before || !after) {
      leftOut += 1;
      continue;
    }
    cars.add(vehicleId);
    if (Math.abs(change) > SAME_LN) changed += 1;
    counts.set(shift.kind, added(counts.get(shift.kind) ?? NONE, before, after));
  }
  const byKind = platform.shifts.flatMap(({ id: shiftKind }) => {
    const own = counts.get(shiftKind);
    return own ? [{ shiftKind, ...own }] : [];
  });
  if (byKind.length === 0) return { kind: 'impossible', reason: 'The simulator could make none of the shifts driven.' };
  return { kind: 'preview', cars: cars.size, total: byKind.reduce(sum, NONE), byKind, changed, leftOut };
}

function makeBench(platform: Parameters<typeof benchGearbox>[0], returnPressureKpa: number): ShiftBench | string {
  try {
    const gearbox = benchGearbox(platform, returnPressureKpa);
    const layout = makeShiftLayout(platform);
    return new ShiftBench({ gearbox, layout, content: matchedContent(gearbox, layout), stepS: STEP_S });
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
}

/** Shifts that a clutch under pressure made, evenly taken from each car's drives. */
function sample(read: ReadStore['read'], { evidence, baseRevisionId }: ProposalInputs) {
  const ofBase = evidence.filter(({ revisionId }) => revisionId === baseRevisionId);
  const counted = ofBase.length > 0 ? ofBase : evidence;
  const perCar = Math.max(1, Math.min(MOST_PER_CAR, Math.floor(MOST_SHIFTS / Math.max(1, counted.length))));
  return counted.flatMap(({ vehicleId, revisionId }) => {
    const usable = read.proposals.evidenceShifts(vehicleId, revisionId).filter(({ shift, demandWeight }) => {
      return shift.isPowerOn && shift.disturbances.length === 0 && (demandWeight ?? 0) > 0;
    });
    const count = Math.min(perCar, usable.length);
    return Array.from({ length: count }, (_, i): { vehicleId: string; evidence: EvidenceShift } => ({
      vehicleId,
      evidence: usable[Math.floor((i * usable.length) / count)],
    }));
  });
}

/** ln of commanded over wanted pressure in a car at a row of the base. */
function pressureErrors({ correctionLn, trims }: BenchFit) {
  const byVehicle = new Map(trims.map((trim) => [trim.vehicleId, trim]));
  return (vehicleId: string, shiftKind: string, { nodes, shares, gain }: DesignRow): number => {
    const trim = byVehicle.get(vehicleId);
    const trimLn = trim?.byKind.find((own) => own.shiftKind === shiftKind)?.trimLn ?? trim?.trimLn ?? 0;
    return -(nodes.reduce((total, node, i) => total + shares[i] * correctionLn[node], 0) + trimLn / gain);
  };
}

/** ln of the candidate's over the base's pressure at a point; null where one of them commands none. */
function pressureChange({ layout, content, rule }: NodeDesign, candidate: Candidate) {
  return (point: OperatingPoint): number | null => {
    try {
      const before = evaluateRule(layout, content, rule.id, point).value;
      const after = evaluateRule(candidate.layout, candidate.content, rule.id, point).value;
      return before > 0 && after > 0 ? Math.log(after / before) : null;
    } catch (error) {
      // The other layout asks for something that was not logged.
      if (error instanceof CalibrationError) return null;
      throw error;
    }
  };
}

function benchPoint({ kind, at }: Shift, program: string): BenchPoint | null {
  if (at.load === null) return null;
  const fluidTemperatureC = at.fluidTemperatureC ?? USUAL_TEMPERATURE_C;
  return { shift: kind, program, load: at.load, outputSpeedRpm: at.outputSpeedRpm, fluidTemperatureC };
}

/** Grades of a simulated shift; null when the simulator made none. */
function gradesOf(
  bench: ShiftBench,
  { car, point, factor }: { car: ReturnType<typeof benchCar>; point: BenchPoint; factor: number },
  shift: Shift,
  policy: GradingPolicy,
  program: string | null,
): readonly string[] | null {
  const truth = bench.makeShift(car, point, factor);
  if (!truth) return null;
  const { flareRpm, flareMs, tieUpDepth, peakJerk, inertiaTimeS } = truth;
  const measures = { ...shift.measures, flareRpm, flareMs, tieUpDepth, peakJerk, inertiaTimeS, shiftTimeS: null };
  return gradeShift({ ...shift, outcome: truth.outcome, measures }, policy, program);
}

const NONE: PreviewCounts = {
  shifts: 0,
  flareBefore: 0,
  flareAfter: 0,
  tieUpBefore: 0,
  tieUpAfter: 0,
  harshBefore: 0,
  harshAfter: 0,
  slowBefore: 0,
  slowAfter: 0,
};

function added(counts: PreviewCounts, before: readonly string[], after: readonly string[]): PreviewCounts {
  const has = (grades: readonly string[], grade: string) => Number(grades.includes(grade));
  return sum(counts, {
    shifts: 1,
    flareBefore: has(before, 'flare'),
    flareAfter: has(after, 'flare'),
    tieUpBefore: has(before, 'tie-up'),
    tieUpAfter: has(after, 'tie-up'),
    harshBefore: has(before, 'harsh'),
    harshAfter: has(after, 'harsh'),
    slowBefore: has(before, 'slow'),
    slowAfter: has(after, 'slow'),
  });
}

function sum(a: PreviewCounts, b: PreviewCounts): PreviewCounts {
  const keys = Object.keys(NONE) as (keyof PreviewCounts)[];
  return Object.fromEntries(keys.map((key) => [key, a[key] + b[key]])) as unknown as PreviewCounts;
}
