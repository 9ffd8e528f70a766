import { checkContent, type RevisionContent } from '@syncline/calibration';
import { ShiftBench } from '@syncline/drivetrain';
import {
  applyProposal,
  type CorrectionEstimate,
  DEFAULT_PROPOSAL_POLICY,
  designRows,
  estimateCorrections,
  type FleetResponse,
  fleetResponse,
  mergeShiftMoments,
  type NodeDesign,
  nodeDesign,
  observeShift,
  proposeCorrections,
  rebaseShiftMoments,
  type ShiftMoments,
  scaledByResponse,
  shiftMomentsOf,
  USUAL_RESPONSE,
  type VarianceComponents,
} from '@syncline/fleet';
import { findBestMap } from './best-map.ts';
import { averageCar, type LoopCar, makeCars } from './car-fleet.ts';
import { type CarRound, driveCar, type GradedShift } from './drive-car.ts';
import { planRequests } from './drive-plan.ts';
import {
  BENCH_STEP_S,
  type Gearset,
  LOOP_POLICY,
  type LoopSetting,
  makeGearset,
  PROGRAM,
  RULE,
} from './loop-setting.ts';
import { type MapError, mapErrorJudge, neededTrims } from './map-error.ts';
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
  readonly mapError: MapError;
  /** How far responses followed the revision before. */
  readonly response: FleetResponse;
  readonly nodesMoved: number;
  readonly nodesCarried: number;
  /** Findings of the layout's check that would stop the revision. */
  readonly blockingFindings: number;
}

export interface LoopResult {
  readonly setting: LoopSetting;
  /** The first one is the start. */
  readonly rounds: readonly LoopRound[];
  /** Trims of the last round, mean over a car's kinds, against what each car needs: their correlation. */
  readonly trimCorrelation: number;
}

/** Drive, find, grade, estimate, propose, accept all, release, repeat. Deterministic. */
export function closeLoop(
  setting: LoopSetting,
  tell: (round: LoopRound, index: number) => void = () => {},
): LoopResult {
  const gearset = makeGearset(setting.gearset);
  const fleet = makeCars(gearset.gearbox, setting);
  const average = averageCar(fleet);
  const errorOf = mapErrorJudge(gearset, average);
  const rounds: LoopRound[] = [];
  const evidence: Evidence[] = [];
  let content = poorMap(gearset, findBestMap(gearset, average), setting.seed);
  let components: VarianceComponents | undefined;
  let trimCorrelation = Number.NaN;
  for (let index = 0; index <= setting.rounds; index++) {
    const driven = driveFleet(gearset, fleet, content, setting, index);
    const design = nodeDesign(gearset.layout, content, RULE);
    evidence.unshift({ design, moments: momentsOf(gearset, fleet, driven, design) });
    evidence.length = Math.min(evidence.length, setting.evidenceRounds);
    const response = responseOf(evidence, components);
    const found = solve(design, mergedEvidence(evidence, response.slope), components);
    const estimate = scaledByResponse(found, response);
    const proposal = proposeCorrections(design, estimate, {
      ...DEFAULT_PROPOSAL_POLICY,
      carriesThin: setting.carriesThin,
    });
    const moved = proposal.filter(({ change }) => change !== 'leave');
    const round = {
      ...gradesOf(driven),
      mapError: errorOf(content),
      response,
      nodesMoved: moved.length,
      nodesCarried: moved.filter(({ reasons }) => reasons.includes('carried')).length,
      blockingFindings: checkContent(gearset.layout, gearset.gearbox.platform, content).filter(
        ({ severity }) => severity === 'blocking',
      ).length,
    };
    rounds.push(round);
    tell(round, index);
    if (index === setting.rounds) trimCorrelation = correlationOfTrims(gearset, fleet, content, estimate);
    content = applyProposal(content, proposal);
    components = found.components;
  }
  return { setting, rounds, trimCorrelation };
}

function solve(
  design: NodeDesign,
  moments: ReadonlyMap<string, ShiftMoments>,
  start: VarianceComponents | undefined,
): CorrectionEstimate {
  const estimate = estimateCorrections(design, moments, { start });
  if (estimate.kind === 'insufficient') throw new Error('Nobody drove.');
  return estimate;
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
function responseOf([newest, before]: readonly Evidence[], components: VarianceComponents | undefined): FleetResponse {
  if (before === undefined) return USUAL_RESPONSE;
  const estimate = solve(newest.design, newest.moments, components);
  return fleetResponse(estimate, before.moments, changeLn(before.design, newest.design));
}

/** ln of newer over older value of each node. */
function changeLn(older: NodeDesign, newer: NodeDesign): number[] {
  const valuesOf = ({ spans }: NodeDesign) => spans.flatMap(({ values }) => values);
  const past = valuesOf(older);
  return valuesOf(newer).map((value, node) => Math.log(value / past[node]));
}

function mergedEvidence([newest, ...older]: readonly Evidence[], slope: number): Map<string, ShiftMoments> {
  const merged = new Map(newest.moments);
  for (const { design, moments } of older) {
    const change = changeLn(design, newest.design).map((ln) => slope * ln);
    for (const [id, own] of moments) {
      merged.set(id, mergeShiftMoments(merged.get(id) ?? new Map(), rebaseShiftMoments(own, change)));
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

function correlationOfTrims(
  gearset: Gearset,
  fleet: readonly LoopCar[],
  content: RevisionContent,
  { trims }: CorrectionEstimate,
): number {
  const average = averageCar(fleet);
  const pairs = trims.map(({ vehicleId, byKind }) => {
    const car = fleet.find((one) => one.car.id === vehicleId)?.car ?? average;
    const needed = neededTrims(gearset, content, average, car);
    const known = byKind.filter(({ shiftKind }) => needed.has(shiftKind));
    return [mean(known.map(({ trimLn }) => trimLn)), mean(known.map(({ shiftKind }) => needed.get(shiftKind) ?? 0))];
  });
  const [a, b] = [0, 1].map((side) => {
    const middle = mean(pairs.map((pair) => pair[side]));
    return pairs.map((pair) => pair[side] - middle);
  });
  const product = (x: readonly number[], y: readonly number[]) => x.reduce((sum, value, i) => sum + value * y[i], 0);
  return product(a, b) / Math.sqrt(product(a, a) * product(b, b));
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
