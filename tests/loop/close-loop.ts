import { checkContent } from '@syncline/calibration';
import {
  applyProposal,
  type CorrectionEstimate,
  carryMoments,
  changeLn,
  DEFAULT_PROPOSAL_POLICY,
  designRows,
  estimateCorrections,
  type FleetResponse,
  fleetResponse,
  type NodeDesign,
  nodeDesign,
  observeShift,
  proposeCorrections,
  type ShiftMoments,
  STEADY_PRIOR,
  scaledByResponse,
  shiftMomentsOf,
  USUAL_RESPONSE,
  type VarianceComponents,
} from '@syncline/fleet';
import { findBestMap } from './best-map.ts';
import { averageCar, type LoopCar, makeCars } from './car-fleet.ts';
import { type CarTrims, NO_TRIMS, trimsOf } from './car-trims.ts';
import { type CarRound, driveCar, type GradedShift, type RoundPlan } from './drive-car.ts';
import { planRequests } from './drive-plan.ts';
import { type Gearset, LOOP_POLICY, type LoopSetting, makeGearset, PROGRAM, RULE } from './loop-setting.ts';
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
  /** Of the best map that the layout can hold. */
  readonly leastError: MapError;
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
  const best = findBestMap(gearset, average);
  const rounds: LoopRound[] = [];
  const evidence: Evidence[] = [];
  let content = poorMap(gearset, best, setting.seed);
  let components: VarianceComponents | undefined;
  let trims: ReadonlyMap<string, CarTrims> = new Map();
  let slope = USUAL_RESPONSE.slope;
  let trimCorrelation = Number.NaN;
  for (let index = 0; index <= setting.rounds; index++) {
    const driven = driveFleet(gearset, fleet, { content, trims }, setting, index);
    const design = nodeDesign(gearset.layout, content, RULE);
    evidence.unshift({ design, moments: momentsOf(gearset, fleet, driven, { design, trims, slope }) });
    evidence.length = Math.min(evidence.length, setting.evidenceRounds);
    const response = responseOf(evidence, components);
    const moments = mergedEvidence(evidence, response.slope);
    const found = solve(design, moments, components);
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
    if (index === setting.rounds) trimCorrelation = correlationOfTrims(gearset, fleet, estimate);
    content = applyProposal(content, proposal);
    components = found.components;
    slope = response.slope;
    if (setting.appliesTrims) trims = nextTrims(estimate, moments, trims);
  }
  return { setting, rounds, leastError: errorOf(best), trimCorrelation };
}

function solve(
  design: NodeDesign,
  moments: ReadonlyMap<string, ShiftMoments>,
  start: VarianceComponents | undefined,
): CorrectionEstimate {
  const estimate = estimateCorrections(design, moments, { start, prior: STEADY_PRIOR });
  if (estimate.kind === 'insufficient') throw new Error('Nobody drove.');
  return estimate;
}

function nextTrims(
  { trims }: CorrectionEstimate,
  moments: ReadonlyMap<string, ShiftMoments>,
  present: ReadonlyMap<string, CarTrims>,
): ReadonlyMap<string, CarTrims> {
  return new Map(
    trims.map((trim) => {
      const { vehicleId } = trim;
      return [vehicleId, trimsOf(trim, moments.get(vehicleId) ?? new Map(), present.get(vehicleId) ?? NO_TRIMS)];
    }),
  );
}

function driveFleet(
  gearset: Gearset,
  fleet: readonly LoopCar[],
  driven: Pick<RoundPlan, 'content' | 'trims'>,
  { seed, shiftsPerCar }: LoopSetting,
  round: number,
): CarRound[] {
  const points = planRequests(gearset, `${seed}:${round}`, fleet.length * shiftsPerCar);
  const requests = new Map(fleet.map(({ car }, j) => [car.id, points.filter((_, i) => i % fleet.length === j)]));
  const plan = { gearset, ...driven, requests, seed: `${seed}:${round}` };
  return fleet.map((car) => driveCar(plan, car));
}

function momentsOf(
  { gearbox }: Gearset,
  fleet: readonly LoopCar[],
  driven: readonly CarRound[],
  { design, trims, slope }: { design: NodeDesign; trims: ReadonlyMap<string, CarTrims>; slope: number },
): Map<string, ShiftMoments> {
  const rowAt = designRows(design);
  const { returnPressureKpa } = design.rule;
  return new Map(
    fleet.map(({ car, facts }, j) => {
      const context = { rowAt, platform: gearbox.platform, car: facts, policy: LOOP_POLICY, programId: PROGRAM };
      const observed = driven[j].shifts.flatMap((shift) => {
        // The response to a trim is part of it, as that to the map is.
        const appliedTrimLn = slope * (trims.get(car.id)?.get(shift.kind) ?? 0);
        const found = observeShift(shift, { ...context, returnPressureKpa, appliedTrimLn });
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

function responseOf([newest, before]: readonly Evidence[], components: VarianceComponents | undefined): FleetResponse {
  if (before === undefined) return USUAL_RESPONSE;
  const estimate = solve(newest.design, newest.moments, components);
  return fleetResponse(estimate, before.moments, changeLn(before.design, newest.design));
}

/** Moments of the rounds together, the newest first. */
function mergedEvidence([newest, ...older]: readonly Evidence[], slope: number): Map<string, ShiftMoments> {
  const earlier = older.map(({ design, moments }) => ({
    byVehicle: moments,
    changeLn: changeLn(design, newest.design),
  }));
  return carryMoments(newest.moments, earlier, slope);
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

function correlationOfTrims(gearset: Gearset, fleet: readonly LoopCar[], { trims }: CorrectionEstimate): number {
  const needs = neededTrims(
    gearset,
    averageCar(fleet),
    fleet.map(({ car }) => car),
  );
  const pairs = trims.map(({ vehicleId, byKind }) => {
    const needed = needs.get(vehicleId) ?? new Map<string, number>();
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
