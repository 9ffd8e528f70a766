import { robustDeviation } from '@syncline/shifts';
import {
  type CorrectionEstimate,
  type Expectation,
  estimateOf,
  expectationOf,
  type NoCorrections,
} from './estimate-corrections.js';
import { type EstimateOptions, fitFleet, refitFleet } from './fitted-fleet.js';
import { type LostWeight, observationsOf } from './lost-weight.js';
import type { NodeDesign } from './node-design.js';
import { ROW_STEP, reweighted, type ShiftMoments, WEIGHT_STEP } from './shift-moments.js';
import type { ShiftRows } from './shift-rows.js';

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
  const plain = fitFleet(design, vehicles, options);
  if (plain === null) return { kind: 'insufficient', reason: 'noShifts' };
  let fitted = plain;
  let expected = expectationOf(design, plain);
  for (let round = 1; ; round += 1) {
    const lost = lostWeights(plain.ids, rowsOf, expected);
    fitted = refitFleet(plain, lost, fitted.fit.components);
    const next = round < MAX_ROUNDS ? expectationOf(design, fitted) : null;
    if (next === null || largestChange(expected, next) < SETTLED) {
      return { kind: 'estimate', estimate: estimateOf(design, fitted), ...withoutLost(vehicles, lost) };
    }
    expected = next;
  }
}

function withoutLost(
  vehicles: ReadonlyMap<string, ShiftMoments>,
  lost: ReadonlyMap<string, readonly LostWeight[]>,
): Pick<RobustEstimate, 'moments' | 'farShifts'> {
  const moments = new Map(vehicles);
  for (const [id, parts] of lost) {
    const own = vehicles.get(id);
    if (own) moments.set(id, reweighted(own, parts.flatMap(observationsOf)));
  }
  const far = Array.from(
    lost,
    ([id, parts]) => [id, parts.reduce((sum, { shifts }) => sum + shifts.length, 0)] as const,
  );
  return { moments, farShifts: new Map(far) };
}

/** The weight that shifts far from what was expected lose, by vehicle; none for one without such shifts. */
function lostWeights(
  ids: readonly string[],
  rowsOf: (vehicleId: string) => readonly ShiftRows[],
  expected: Expectation,
): ReadonlyMap<string, readonly LostWeight[]> {
  const parts = ids.map((id) =>
    rowsOf(id).map((rows) => ({ rows, residuals: standardisedResiduals(rows, expected, id) })),
  );
  // Of an undisturbed shift: the estimate's own σ is inflated by outliers.
  const scaleSd = robustDeviation(concatenated(parts.flat().map(({ residuals }) => residuals)));
  const lost = new Map<string, readonly LostWeight[]>();
  for (const [j, id] of ids.entries()) {
    const own = parts[j]
      .map(({ rows, residuals }) => lostWeight(rows, residuals, scaleSd))
      .filter(({ shifts }) => shifts.length > 0);
    if (own.length > 0) lost.set(id, own);
  }
  return lost;
}

function lostWeight(rows: ShiftRows, residuals: Float64Array, scaleSd: number): LostWeight {
  const [shifts, changes]: [number[], number[]] = [[], []];
  for (let shift = 0; shift < residuals.length; shift += 1) {
    const size = Math.abs(residuals[shift]) / scaleSd;
    if (!(size > CUTOFF)) continue;
    const weight = rows.weights[shift];
    const left = Math.max(1, Math.round((weight * CUTOFF) / size / WEIGHT_STEP)) * WEIGHT_STEP;
    if (left >= weight) continue;
    shifts.push(shift);
    changes.push(left - weight);
  }
  return { rows, shifts, changes };
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

function largestChange(a: Expectation, b: Expectation): number {
  return a.correctionLn.reduce((most, value, node) => Math.max(most, Math.abs(value - b.correctionLn[node])), 0);
}
