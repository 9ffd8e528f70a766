import { checkContent, type RevisionContent } from '@syncline/calibration';
import { ShiftBench } from '@syncline/drivetrain';
import {
  applyProposal,
  type CorrectionEstimate,
  DEFAULT_PROPOSAL_POLICY,
  designRows,
  estimateCorrections,
  mergeShiftMoments,
  type NodeDesign,
  nodeDesign,
  observeShift,
  proposeCorrections,
  rebaseShiftMoments,
  type ShiftMoments,
  shiftMomentsOf,
  type VarianceComponents,
} from '@syncline/fleet';
import { averageCar, type LoopCar, makeCars } from './car-fleet.ts';
import { type CarRound, driveCar, type GradedShift } from './drive-car.ts';
import { planRequests } from './drive-plan.ts';
import { findIdealMap, type IdealMap } from './ideal-map.ts';
import {
  BENCH_STEP_S,
  type Gearset,
  LOOP_POLICY,
  type LoopSetting,
  makeGearset,
  PROGRAM,
  RULE,
} from './loop-setting.ts';
import { poorMap } from './poor-map.ts';

/** Shares of shifts. */
export interface Rates {
  readonly flare: number;
  readonly tieUp: number;
  readonly harsh: number;
}

/** One round: what the revision of that round did, before the next was made of it. */
export interface LoopRound {
  readonly shifts: number;
  readonly found: Rates;
  readonly truth: Rates;
  /** In the ordinary drives alone. */
  readonly ordinary: Rates;
  /** R.m.s. of ln pressure against the best map that the layout can hold. */
  readonly mapError: number;
  /** Against the ideal pressure of each place. */
  readonly pointError: number;
  readonly nodesMoved: number;
  readonly nodesCarried: number;
  /** Findings of the layout's check that would stop the revision. */
  readonly blockingFindings: number;
}

export interface LoopResult {
  readonly setting: LoopSetting;
  /** The first one is the start. */
  readonly rounds: readonly LoopRound[];
  /** Error that the best map itself keeps against the ideal pressure of each place. */
  readonly leastPointError: number;
  readonly places: number;
  readonly withoutIdeal: number;
  /** Of the last round. */
  readonly trimCorrelation: number;
}

/** Drive, find, grade, estimate, propose, accept all, release, repeat. Deterministic. */
export function closeLoop(
  setting: LoopSetting,
  tell: (round: LoopRound, index: number) => void = () => {},
): LoopResult {
  const gearset = makeGearset(setting.gearset);
  const fleet = makeCars(gearset.gearbox, setting);
  const ideal = findIdealMap(gearset, averageCar(fleet));
  const rounds: LoopRound[] = [];
  let content = poorMap(gearset, setting.seed);
  let components: VarianceComponents | undefined;
  const evidence: Evidence[] = [];
  let trimCorrelation = Number.NaN;
  for (let index = 0; index <= setting.rounds; index++) {
    const driven = driveFleet(gearset, fleet, content, setting, index);
    const design = nodeDesign(gearset.layout, content, RULE);
    evidence.unshift({ design, moments: momentsOf(gearset, fleet, driven, design) });
    evidence.length = Math.min(evidence.length, setting.evidenceRounds);
    const estimate = estimateCorrections(design, mergedEvidence(evidence), { start: components });
    if (estimate.kind === 'insufficient') throw new Error('Nobody drove.');
    const proposal = proposeCorrections(design, estimate, {
      ...DEFAULT_PROPOSAL_POLICY,
      carriesThin: setting.carriesThin,
    });
    const moved = proposal.filter(({ change }) => change !== 'leave');
    const round = {
      ...gradesOf(driven),
      ...errorsOf(ideal, content),
      nodesMoved: moved.length,
      nodesCarried: moved.filter(({ reasons }) => reasons.includes('carried')).length,
      blockingFindings: checkContent(gearset.layout, gearset.gearbox.platform, content).filter(
        ({ severity }) => severity === 'blocking',
      ).length,
    };
    rounds.push(round);
    tell(round, index);
    content = applyProposal(content, proposal);
    components = estimate.components;
    trimCorrelation = correlationOfTrims(fleet, estimate);
  }
  return {
    setting,
    rounds,
    leastPointError: ideal.pointErrorOf(ideal.best),
    places: ideal.places,
    withoutIdeal: ideal.withoutIdeal,
    trimCorrelation,
  };
}

function driveFleet(
  gearset: Gearset,
  fleet: readonly LoopCar[],
  content: RevisionContent,
  { seed, shiftsPerCar }: LoopSetting,
  round: number,
): CarRound[] {
  const { gearbox, layout } = gearset;
  const bench = new ShiftBench({ gearbox, layout, content, stepS: BENCH_STEP_S });
  const points = planRequests(gearset, `${seed}:${round}`, fleet.length * shiftsPerCar);
  const requests = new Map(fleet.map(({ car }, j) => [car.id, points.filter((_, i) => i % fleet.length === j)]));
  const plan = { gearset, content, bench, requests, seed: `${seed}:${round}` };
  return fleet.map((car) => driveCar(plan, car));
}

function momentsOf(
  { gearbox, layout }: Gearset,
  fleet: readonly LoopCar[],
  driven: readonly CarRound[],
  design: NodeDesign,
): Map<string, ShiftMoments> {
  const rowAt = designRows(design);
  const returnPressureKpa = layout.rules.find(({ id }) => id === RULE)?.returnPressureKpa;
  return new Map(
    fleet.map(({ car, facts }, j) => {
      const context = { rowAt, platform: gearbox.platform, car: facts, policy: LOOP_POLICY, programId: PROGRAM };
      const observed = driven[j].shifts.flatMap((shift) => {
        const found = observeShift(shift, { ...context, returnPressureKpa });
        return found.kind === 'observation' ? [found] : [];
      });
      return [car.id, shiftMomentsOf(observed)];
    }),
  );
}

/** Moments of a round, and the design of the revision that it was driven under. */
interface Evidence {
  readonly design: NodeDesign;
  readonly moments: ReadonlyMap<string, ShiftMoments>;
}

/** Moments of the rounds together, the newest first, the older ones as if driven under the newest revision. */
function mergedEvidence([newest, ...older]: readonly Evidence[]): Map<string, ShiftMoments> {
  const valuesOf = ({ spans }: NodeDesign) => spans.flatMap(({ values }) => values);
  const present = valuesOf(newest.design);
  const merged = new Map(newest.moments);
  for (const { design, moments } of older) {
    const past = valuesOf(design);
    const changeLn = present.map((value, node) => Math.log(value / past[node]));
    for (const [id, own] of moments) {
      merged.set(id, mergeShiftMoments(merged.get(id) ?? new Map(), rebaseShiftMoments(own, changeLn)));
    }
  }
  return merged;
}

function gradesOf(driven: readonly CarRound[]): Pick<LoopRound, 'shifts' | 'found' | 'truth' | 'ordinary'> {
  const graded = driven.flatMap((one) => one.graded);
  return {
    shifts: graded.length,
    found: ratesOf(graded, 'found'),
    truth: ratesOf(graded, 'truth'),
    ordinary: ratesOf(
      graded.filter(({ isRequested }) => !isRequested),
      'found',
    ),
  };
}

/** Tie-up and harsh are shares of the shifts in which the log could tell. */
function ratesOf(graded: readonly GradedShift[], by: 'found' | 'truth'): Rates {
  const share = (shifts: readonly GradedShift[], grade: 'flare' | 'tie-up' | 'harsh') =>
    shifts.filter((shift) => shift[by].includes(grade)).length / shifts.length;
  return {
    flare: share(graded, 'flare'),
    tieUp: share(
      graded.filter(({ tellsTieUp }) => tellsTieUp),
      'tie-up',
    ),
    harsh: share(
      graded.filter(({ tellsHarsh }) => tellsHarsh),
      'harsh',
    ),
  };
}

function errorsOf(ideal: IdealMap, content: RevisionContent): Pick<LoopRound, 'mapError' | 'pointError'> {
  return { mapError: ideal.errorOf(content), pointError: ideal.pointErrorOf(content) };
}

function correlationOfTrims(fleet: readonly LoopCar[], { trims }: CorrectionEstimate): number {
  const pairs = trims.map(({ vehicleId, trimLn }) => [
    trimLn,
    fleet.find(({ car }) => car.id === vehicleId)?.trimLn ?? Number.NaN,
  ]);
  const [a, b] = [0, 1].map((side) => {
    const mean = pairs.reduce((sum, pair) => sum + pair[side], 0) / pairs.length;
    return pairs.map((pair) => pair[side] - mean);
  });
  const product = (x: readonly number[], y: readonly number[]) => x.reduce((sum, value, i) => sum + value * y[i], 0);
  return product(a, b) / Math.sqrt(product(a, a) * product(b, b));
}
