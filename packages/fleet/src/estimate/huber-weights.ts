import { robustDeviation } from '@syncline/shifts';
import {
  type CorrectionEstimate,
  type EstimateOptions,
  estimateCorrections,
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

/** What shifts are held against. */
interface Pilot {
  readonly estimate: CorrectionEstimate;
  /** Robust standard deviation of an undisturbed shift; the estimate's own σ is inflated by outliers. */
  readonly scaleSd: number;
}

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
 * @param rowsOf the same shifts of a vehicle; asked for twice a round
 */
export function robustCorrections(
  design: NodeDesign,
  vehicles: ReadonlyMap<string, ShiftMoments>,
  rowsOf: (vehicleId: string) => readonly ShiftRows[],
  options: EstimateOptions = {},
): RobustEstimate | NoCorrections {
  let estimate = estimateCorrections(design, vehicles, options);
  if (estimate.kind === 'insufficient') return estimate;
  const { evidence } = estimate;
  let moments = vehicles;
  let farShifts = new Map<string, number>();
  for (let round = 0; round < MAX_ROUNDS; round += 1) {
    const before: CorrectionEstimate = estimate;
    const pilot = { estimate: before, scaleSd: scaleOf(before, vehicles.keys(), rowsOf) };
    farShifts = new Map();
    moments = mapValues(vehicles, (own, id) => {
      const lost = lostWeights(rowsOf(id), pilot, id);
      if (lost.length === 0) return own;
      farShifts.set(id, lost.length);
      return reweighted(own, lost);
    });
    const next = estimateCorrections(design, moments, { ...options, start: before.components });
    if (next.kind === 'insufficient') return next;
    // A shift that lost weight was driven all the same: what it leaves uncertain shows in the deviations.
    estimate = { ...next, evidence };
    if (largestChange(before, estimate) < SETTLED) break;
  }
  return { kind: 'estimate', estimate, moments, farShifts };
}

/** The shifts that lose weight against a pilot, each with what it loses as a negative weight. */
function lostWeights(rows: readonly ShiftRows[], pilot: Pilot, vehicleId: string): CountedObservation[] {
  return rows.flatMap((part) => {
    const lost: CountedObservation[] = [];
    for (const [shift, residual] of standardisedResiduals(part, pilot.estimate, vehicleId).entries()) {
      const size = Math.abs(residual) / pilot.scaleSd;
      if (!(size > CUTOFF)) continue;
      const weight = part.weights[shift];
      const left = Math.max(1, Math.round((weight * CUTOFF) / size / WEIGHT_STEP)) * WEIGHT_STEP;
      if (left < weight) lost.push(observationAt(part, shift, left - weight));
    }
    return lost;
  });
}

/** Residuals times the root of the weight: of the same spread for every shift. */
function standardisedResiduals(
  { kinds, kind, responses, weights, ends, nodes, x }: ShiftRows,
  { correctionLn, trims }: CorrectionEstimate,
  vehicleId: string,
): Float64Array {
  const trim = trims.find((own) => own.vehicleId === vehicleId);
  const byKind = new Map(trim?.byKind.map(({ shiftKind, trimLn }) => [shiftKind, trimLn]));
  const trimOf = kinds.map((name) => byKind.get(name) ?? trim?.trimLn ?? 0);
  const residuals = new Float64Array(responses.length);
  for (let shift = 0, entry = 0; shift < residuals.length; shift += 1) {
    let expected = trimOf[kind[shift]];
    for (; entry < ends[shift]; entry += 1) expected += x[entry] * ROW_STEP * correctionLn[nodes[entry]];
    residuals[shift] = (responses[shift] - expected) * Math.sqrt(weights[shift]);
  }
  return residuals;
}

function scaleOf(
  estimate: CorrectionEstimate,
  vehicleIds: Iterable<string>,
  rowsOf: (vehicleId: string) => readonly ShiftRows[],
): number {
  const parts = [...vehicleIds].flatMap((id) => rowsOf(id).map((rows) => standardisedResiduals(rows, estimate, id)));
  const all = new Float64Array(parts.reduce((sum, { length }) => sum + length, 0));
  let offset = 0;
  for (const part of parts) {
    all.set(part, offset);
    offset += part.length;
  }
  return robustDeviation(all);
}

function mapValues<A, B>(map: ReadonlyMap<string, A>, change: (value: A, key: string) => B): Map<string, B> {
  return new Map([...map].map(([key, value]) => [key, change(value, key)]));
}

function largestChange(a: CorrectionEstimate, b: CorrectionEstimate): number {
  return a.correctionLn.reduce((most, value, node) => Math.max(most, Math.abs(value - b.correctionLn[node])), 0);
}
