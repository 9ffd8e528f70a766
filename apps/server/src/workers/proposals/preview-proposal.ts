import {
  type BenchPoint,
  idealPressureFactor,
  makeShiftLayout,
  matchedContent,
  ShiftBench,
} from '@syncline/drivetrain';
import { designRows, type NodeDesign, normalQuantile, operatingPointOf } from '@syncline/fleet';
import { type GradingPolicy, gradeShift, type Shift } from '@syncline/shifts';
import {
  type EvidenceShift,
  openReadOnly,
  type ProposalDetail,
  type ProposalResult,
  type ReadStore,
} from '@syncline/store';
import { findSubject, subjectDesign } from '../../services/proposals/subjects.js';
import { benchCar, benchGearbox } from './bench-car.js';
import type { PreviewCounts, PreviewOutcome, PreviewTask } from './preview-task.js';

/** Shifts that are tried: enough for rates to a few per cent. */
const MOST_SHIFTS = 240;
/** Of one car, so that no car speaks for all. */
const MOST_PER_CAR = 25;
/** A model that takes longer is not worth waiting for (ms). */
const LONGEST_MS = 20_000;
const STEP_S = 0.005;
const USUAL_TEMPERATURE_C = 80;

/** The golden ratio's fraction: its multiples fill the unit interval evenly, so that a spread needs no random numbers. */
const GOLDEN = 0.6180339887498949;

/**
 * Tries a proposal on simulated cars at points that were really driven. Each car has its own profile; the pressure it is
 * given is off from what the simulator finds ideal there by what the estimate says that the car is off, and by what one
 * shift differs from the next, the same before and after the change. Entry point of the worker threads.
 */
export async function previewProposal({ folder, proposalId }: PreviewTask): Promise<PreviewOutcome> {
  const store = openReadOnly({ folder, clock: Date.now });
  try {
    const proposal = store.read.proposals.find(proposalId);
    if (!proposal?.result) throw new Error(`there is no proposal ${proposalId}`);
    return preview(store, proposal, proposal.result);
  } finally {
    store.close();
  }
}

function preview(
  { read }: ReadStore,
  { inputs, calibrationId }: ProposalDetail,
  result: ProposalResult,
): PreviewOutcome {
  const platformId = read.calibrations.find(calibrationId)?.platformId ?? '';
  const platform = read.platforms.find(platformId);
  const layout = read.platforms.findLayout(platformId, inputs.layoutVersion);
  const content = read.calibrations.findContent(inputs.baseRevisionId);
  const subject = layout && findSubject(layout, inputs.subject);
  if (!platform || !layout || !content || !subject)
    throw new Error(`revision ${inputs.baseRevisionId} cannot be opened`);
  if (subject.kind !== 'rule') return { kind: 'impossible', reason: 'Only pressures are tried on simulated cars.' };
  const design = subjectDesign(layout, content, subject);
  const bench = makeBench(platform.platform, design.rule.returnPressureKpa ?? 0);
  if (typeof bench === 'string') return { kind: 'impossible', reason: bench };
  const policy = read.platforms.findPolicy(platformId, inputs.gradingPolicyVersion) ?? platform.policy;
  const isOff = pressureErrors(design, result);
  const rowAt = designRows(design);
  const counts = new Map<string, PreviewCounts>();
  const cars = new Set<string>();
  let leftOut = 0;
  const endMs = performance.now() + LONGEST_MS;
  for (const [i, { vehicleId, evidence }] of sample(read, inputs).entries()) {
    const profile = read.vehicles.find({}, vehicleId);
    const { shift, program } = evidence;
    const row = rowAt(operatingPointOf(shift, platform.platform, program));
    const point = benchPoint(shift, program ?? platform.platform.programs[0].id);
    if (!profile || row.kind !== 'row' || !point || performance.now() > endMs) {
      leftOut += 1;
      continue;
    }
    const car = benchCar(vehicleId, profile);
    const ideal = idealPressureFactor(bench, car, point);
    const off = isOff(vehicleId, shift.kind, row);
    const scatterLn = (normalQuantile(((i + 0.5) * GOLDEN) % 1) * result.components.residualSd) / row.gain;
    const grade = (ln: number) =>
      ideal && gradesOf(bench, { car, point, factor: ideal * Math.exp(ln + scatterLn) }, shift, policy, program);
    const [before, after] = [grade(off.before), grade(off.after)];
    if (!before || !after) {
      leftOut += 1;
      continue;
    }
    cars.add(vehicleId);
    counts.set(shift.kind, added(counts.get(shift.kind) ?? NONE, before, after));
  }
  const byKind = platform.platform.shifts.flatMap(({ id: shiftKind }) => {
    const own = counts.get(shiftKind);
    return own ? [{ shiftKind, ...own }] : [];
  });
  if (byKind.length === 0) return { kind: 'impossible', reason: 'The simulator could make none of the shifts driven.' };
  return { kind: 'preview', cars: cars.size, total: byKind.reduce(sum, NONE), byKind, leftOut };
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
function sample(read: ReadStore['read'], { evidence, baseRevisionId }: ProposalDetail['inputs']) {
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

/** ln of commanded over wanted pressure in a car at a row, with the revision as it is and with the proposal. */
function pressureErrors({ spans, nodeCount }: NodeDesign, { nodes, vehicles }: ProposalResult) {
  const [wanted, change] = [new Float64Array(nodeCount), new Float64Array(nodeCount)];
  const starts = new Map(spans.map(({ spec, variant, start }) => [`${spec.id}/${variant}`, start]));
  for (const node of nodes) {
    const place = (starts.get(`${node.tableId}/${node.variant}`) ?? 0) + node.nodeIndex;
    wanted[place] = node.correctionLn;
    if (node.change !== 'leave') change[place] = Math.log(node.proposedValue / node.presentValue);
  }
  const trims = new Map(vehicles.map(({ vehicleId, trim }) => [vehicleId, trim]));
  return (
    vehicleId: string,
    shiftKind: string,
    row: { nodes: readonly number[]; shares: readonly number[]; gain: number },
  ) => {
    const trim = trims.get(vehicleId);
    const trimLn = trim?.byKind.find((own) => own.shiftKind === shiftKind)?.trimLn ?? trim?.trimLn ?? 0;
    const along = (values: Float64Array) =>
      row.nodes.reduce((total, node, i) => total + row.shares[i] * values[node], 0);
    const before = -(along(wanted) + trimLn / row.gain);
    return { before, after: before + along(change) };
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
