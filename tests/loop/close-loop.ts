import { checkContent } from '@syncline/calibration';
import {
  applyProposal,
  type CorrectionEstimate,
  changeLn,
  DEFAULT_PROPOSAL_POLICY,
  designRows,
  type FleetResponse,
  fleetResponse,
  mergeShiftMoments,
  momentsOfRows,
  NO_SHIFT_MOMENTS,
  type NodeDesign,
  nodeDesign,
  observeShift,
  proposeCorrections,
  rebaseShiftRows,
  robustCorrections,
  type ShiftMoments,
  type ShiftRows,
  STEADY_PRIOR,
  scaledByResponse,
  shiftMomentsOf,
  shiftRowsOf,
  USUAL_RESPONSE,
  type VarianceComponents,
} from '@syncline/fleet';
import { findBestMap } from './best-map.ts';
import { averageCar, type LoopCar, makeCars } from './car-fleet.ts';
import { type CarTrims, NO_TRIMS, trimsOf } from './car-trims.ts';
import { type CarRound, driveCar, type GradedShift, type RoundPlan } from './drive-car.ts';
import { planRequests } from './drive-plan.ts';
import { type ErrorPart, errorParts, holdOf } from './error-parts.ts';
import { type Gearset, LOOP_POLICY, type LoopSetting, makeGearset, PROGRAM, RULE } from './loop-setting.ts';
import { type MapError, mapErrorJudge, neededTrims, type PlaceError } from './map-error.ts';
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
  /** Where the error of the last round comes from: by what holds its nodes, and by the way of the shifts. */
  readonly parts: { readonly byHold: readonly ErrorPart[]; readonly byWay: readonly ErrorPart[] };
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
  let known = USUAL_RESPONSE;
  let trimCorrelation = Number.NaN;
  let parts: LoopResult['parts'] = { byHold: [], byWay: [] };
  for (let index = 0; index <= setting.rounds; index++) {
    const driven = driveFleet(gearset, fleet, { content, trims }, setting, index);
    const design = nodeDesign(gearset.layout, content, RULE);
    evidence.unshift(evidenceOf(gearset, fleet, driven, { design, trims, slope: known.slope }));
    evidence.length = Math.min(evidence.length, setting.evidenceRounds);
    const response = responseOf(evidence, components, known);
    const merged = mergedEvidence(evidence, response.slope);
    const found = solve(design, merged, components);
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
    if (index === setting.rounds) {
      trimCorrelation = correlationOfTrims(gearset, fleet, estimate);
      const { places } = round.mapError;
      parts = { byHold: errorParts(places, holdOf(design, proposal)), byWay: errorParts(places, wayOf) };
    }
    content = applyProposal(content, proposal);
    components = found.components;
    known = response;
    if (setting.appliesTrims) trims = nextTrims(estimate, merged.moments, trims);
  }
  return { setting, rounds, leastError: errorOf(best), parts, trimCorrelation };
}

function wayOf({ shift }: PlaceError): string {
  const [from, to] = shift.split('-').map(Number);
  return to > from ? 'upshifts' : 'downshifts';
}

function solve(
  design: NodeDesign,
  { moments, rows }: Pick<Evidence, 'moments' | 'rows'>,
  start: VarianceComponents | undefined,
): CorrectionEstimate {
  const found = robustCorrections(design, moments, (id) => rows.get(id) ?? [], { start, prior: STEADY_PRIOR });
  if (found.kind === 'insufficient') throw new Error('Nobody drove.');
  return found.estimate;
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

function evidenceOf(
  { gearbox }: Gearset,
  fleet: readonly LoopCar[],
  driven: readonly CarRound[],
  { design, trims, slope }: { design: NodeDesign; trims: ReadonlyMap<string, CarTrims>; slope: number },
): Evidence {
  const rowAt = designRows(design);
  const { returnPressureKpa } = design.rule;
  const observed = fleet.map(({ car, facts }, j) => {
    const context = { rowAt, platform: gearbox.platform, car: facts, policy: LOOP_POLICY, programId: PROGRAM };
    return driven[j].shifts.flatMap((shift) => {
      // The response to a trim is part of it, as that to the map is.
      const appliedTrimLn = slope * (trims.get(car.id)?.get(shift.kind) ?? 0);
      const found = observeShift(shift, { ...context, returnPressureKpa, appliedTrimLn });
      return found.kind === 'observation' ? [found] : [];
    });
  });
  return {
    design,
    moments: new Map(fleet.map(({ car }, j) => [car.id, shiftMomentsOf(observed[j])])),
    rows: new Map(fleet.map(({ car }, j) => [car.id, [shiftRowsOf(observed[j])]])),
  };
}

/** What a round tells, by car, and the design of the revision that it was driven under. */
interface Evidence {
  readonly design: NodeDesign;
  readonly moments: ReadonlyMap<string, ShiftMoments>;
  readonly rows: ReadonlyMap<string, readonly ShiftRows[]>;
}

/** A response found a round ago may have changed by so much: shifts nearer to right follow the map more closely. */
const RESPONSE_DRIFT = 0.05;

function responseOf(
  [newest, before]: readonly Evidence[],
  components: VarianceComponents | undefined,
  { slope, standardError }: FleetResponse,
): FleetResponse {
  if (before === undefined) return USUAL_RESPONSE;
  const estimate = solve(newest.design, newest, components);
  const known = { slope, standardError: Math.hypot(standardError, RESPONSE_DRIFT) };
  return fleetResponse(estimate, before.moments, changeLn(before.design, newest.design), known);
}

/** The rounds together, the newest first, as if all were driven under the newest revision. */
function mergedEvidence([newest, ...older]: readonly Evidence[], slope: number): Omit<Evidence, 'design'> {
  const moments = new Map(newest.moments);
  const rows = new Map(newest.rows);
  for (const { design, rows: earlier } of older) {
    const change = changeLn(design, newest.design).map((ln) => slope * ln);
    for (const [id, own] of earlier) {
      const carried = own.map((part) => rebaseShiftRows(part, change));
      rows.set(id, [...(rows.get(id) ?? []), ...carried]);
      moments.set(id, carried.map(momentsOfRows).reduce(mergeShiftMoments, moments.get(id) ?? NO_SHIFT_MOMENTS));
    }
  }
  return { moments, rows };
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
