import { robustDeviation } from '@syncline/shifts';
import {
  type CorrectionEstimate,
  type EstimateOptions,
  type Expectation,
  estimateOf,
  expectationOf,
  fitFleet,
  type NoCorrections,
} from './estimate-corrections.js';
import type { NodeDesign } from './node-design.js';
import { type CountedObservation, ROW_STEP, reweighted, type ShiftMoments, WEIGHT_STEP } from './shift-moments.js';
import { observationAt, type ShiftRows } from './shift-rows.js';

/**
 * Residuals beyond this many standard deviations lose weight. At normal noise 99 % of the efficiency of least squares is
 * kept and σ comes out 2.3 % low (Huber 1964, Ann. Math. Stat. 35, 73–101; the figures follow from the normal law).
 */
const CUTOFF = 2;
/** The first weights are by least squares, the second by a robust estimate; a third would take off a tenth more at its price. */
const MAX_ROUNDS = 2;
/** Corrections that change by less than this (ln) are settled. */
const SETTLED = 1e-3;

/** A robust estimate and the moments that give it. */
export interface RobustEstimate {
  readonly kind: 'estimate';
  readonly estimate: CorrectionEstimate;
  /** Those that went in, less the weight that far shifts lost. */
  readonly moments: ReadonlyMap<string, ShiftMoments>;
  /** By vehicle: shifts beyond the cutoff, which count less. */
  readonly farShifts: ReadonlyMap<string, number>;
}

/**
 * Huber's estimate by iteration (methods.md 6): least squares from the moments, weights 2σ/|r| for shifts whose residual r
 * is beyond 2σ (σ from their median deviation), and again until the corrections stand. The moments stay what they are:
 * the weight that a shift loses is taken off as the exact moments of a shift of negative weight, so that the result
 * depends on the evidence alone, not on the order in which it came, and a log that is taken back takes its influence on
 * the weights along.
 * @param vehicles moments by vehicle, of every weight as observed
 * @param rowsOf the same shifts of a vehicle; asked for once a round
 */
export function robustCorrections(
  design: NodeDesign,
  vehicles: ReadonlyMap<string, ShiftMoments>,
  rowsOf: (vehicleId: string) => readonly ShiftRows[],
  options: EstimateOptions = {},
): RobustEstimate | NoCorrections {
  let fitted = fitFleet(design, vehicles, options);
  if (fitted === null) return { kind: 'insufficient', reason: 'noShifts' };
  const { evidence } = fitted;
  let expected = expectationOf(design, fitted);
  let room: ReadonlyMap<string, ShiftMoments> = new Map();
  for (let round = 1; ; round += 1) {
    const { moments, farShifts } = withHuberWeights(vehicles, rowsOf, expected, room);
    fitted = fitFleet(design, moments, { ...options, start: fitted.fit.components });
    if (fitted === null) return { kind: 'insufficient', reason: 'noShifts' };
    const next = round < MAX_ROUNDS ? expectationOf(design, fitted) : null;
    if (next === null || largestChange(expected, next) < SETTLED) {
      // A shift that lost weight was driven all the same: what it leaves uncertain shows in the deviations.
      return { kind: 'estimate', estimate: { ...estimateOf(design, fitted), evidence }, moments, farShifts };
    }
    expected = next;
    room = moments;
  }
}

/**
 * The moments less the weight that shifts far from what was expected lose.
 * @param room the moments of the round before, if any: their memory is used again
 */
function withHuberWeights(
  vehicles: ReadonlyMap<string, ShiftMoments>,
  rowsOf: (vehicleId: string) => readonly ShiftRows[],
  expected: Expectation,
  room: ReadonlyMap<string, ShiftMoments>,
): Pick<RobustEstimate, 'moments' | 'farShifts'> {
  const parts = new Map(
    Array.from(vehicles.keys(), (id) => [
      id,
      rowsOf(id).map((rows) => ({ rows, residuals: standardisedResiduals(rows, expected, id) })),
    ]),
  );
  // Of an undisturbed shift: the estimate's own σ is inflated by outliers.
  const scaleSd = robustDeviation(concatenated([...parts.values()].flat().map(({ residuals }) => residuals)));
  const farShifts = new Map<string, number>();
  const moments = mapValues(vehicles, (own, id) => {
    const lost = (parts.get(id) ?? []).flatMap(({ rows, residuals }) => lostWeights(rows, residuals, scaleSd));
    if (lost.length === 0) return own;
    farShifts.set(id, lost.length);
    return reweighted(own, lost, room.get(id));
  });
  return { moments, farShifts };
}

/** The shifts that lose weight, each with what it loses as a negative weight. */
function lostWeights(rows: ShiftRows, residuals: Float64Array, scaleSd: number): CountedObservation[] {
  const lost: CountedObservation[] = [];
  for (let shift = 0; shift < residuals.length; shift += 1) {
    const size = Math.abs(residuals[shift]) / scaleSd;
    if (!(size > CUTOFF)) continue;
    const weight = rows.weights[shift];
    const left = Math.max(1, Math.round((weight * CUTOFF) / size / WEIGHT_STEP)) * WEIGHT_STEP;
    if (left < weight) lost.push(observationAt(rows, shift, left - weight));
  }
  return lost;
}

/** Residuals times the root of the weight: of the same spread for every shift. */
function standardisedResiduals(
  { kinds, kind, responses, weights, ends, nodes, x }: ShiftRows,
  { correctionLn, trims }: Expectation,
  vehicleId: string,
): Float64Array {
  const trim = trims.find((own) => own.vehicleId === vehicleId);
  const byKind = new Map(trim?.byKind.map(({ shiftKind, trimLn }) => [shiftKind, trimLn]));
  const trimOf = kinds.map((name) => byKind.get(name) ?? trim?.trimLn ?? 0);
  const step = ROW_STEP;
  const residuals = new Float64Array(responses.length);
  for (let shift = 0, entry = 0; shift < residuals.length; shift += 1) {
    let expected = trimOf[kind[shift]];
    const end = ends[shift];
    for (; entry < end; entry += 1) expected += x[entry] * step * correctionLn[nodes[entry]];
    residuals[shift] = (responses[shift] - expected) * Math.sqrt(weights[shift]);
  }
  return residuals;
}

function concatenated(parts: readonly Float64Array[]): Float64Array {
  const all = new Float64Array(parts.reduce((sum, { length }) => sum + length, 0));
  let offset = 0;
  for (const part of parts) {
    all.set(part, offset);
    offset += part.length;
  }
  return all;
}

function mapValues<A, B>(map: ReadonlyMap<string, A>, change: (value: A, key: string) => B): Map<string, B> {
  return new Map([...map].map(([key, value]) => [key, change(value, key)]));
}

function largestChange(a: Expectation, b: Expectation): number {
  return a.correctionLn.reduce((most, value, node) => Math.max(most, Math.abs(value - b.correctionLn[node])), 0);
}
