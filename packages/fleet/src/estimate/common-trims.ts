import type { ArrowMeans } from './arrow-posterior.js';
import type { FleetSums } from './fleet-sums.js';
import type { TrimMeans } from './vehicle-trims.js';

/** Means of the vehicles' effects, ln torque. */
export interface CommonTrims {
  /** Of b_j; 0 where a kind has no base table of its own. */
  readonly general: number;
  /** Of b_j + b_jq, by kind with a base table of its own. */
  readonly byKind: ReadonlyMap<string, number>;
}

export const NOTHING_COMMON: CommonTrims = { general: 0, byKind: new Map() };

/**
 * What the effects of all vehicles have in common. With a level of its own in the map a kind's effects average to 0 as long
 * as responses are in proportion to the gain. Where they are not (clipped ones, those of another revision carried over by a
 * response that was not quite right) the effects take over what is the same in all cars, and then cars that are trimmed by
 * them hold the map where it is.
 */
export function commonTrims({ kinds }: FleetSums, posterior: ArrowMeans): CommonTrims {
  const own = kinds.flatMap(({ kind, block }, q) =>
    block.spans.some(({ span }) => span.role === 'base') ? [{ kind, effects: posterior.kinds[q] }] : [],
  );
  const byKind = own.map(
    ({ kind, effects }) =>
      [kind, mean(effects.map(({ vehicle, mean: b }) => posterior.vehicles[vehicle].mean + b))] as const,
  );
  const isWhole = own.length === kinds.length;
  return { general: isWhole ? mean(posterior.vehicles.map((effect) => effect.mean)) : 0, byKind: new Map(byKind) };
}

/** Corrections that make up for the common part at every node of its base table: by that over the node's average gain. */
export function withCommonTrims<T extends { readonly correctionLn: Float64Array }>(
  corrections: T,
  { kinds }: FleetSums,
  { byKind }: CommonTrims,
  evidence: Float64Array,
): T {
  const correctionLn = corrections.correctionLn.slice();
  for (const { kind, block, members } of kinds) {
    const common = byKind.get(kind);
    if (common === undefined) continue;
    for (const { span, offset } of block.spans.filter(({ span: { role } }) => role === 'base')) {
      const weighted = span.values.map((_, i) => members.reduce((sum, { design }) => sum + design[offset + i], 0));
      const behind = span.values.map((_, i) => evidence[span.start + i]);
      const usualGain = total(weighted) / total(behind);
      for (const [i, gained] of weighted.entries()) {
        correctionLn[span.start + i] += common / (behind[i] > 0 ? gained / behind[i] : usualGain);
      }
    }
  }
  return { ...corrections, correctionLn };
}

export function withoutCommonTrims<T extends TrimMeans>(trims: readonly T[], { general, byKind }: CommonTrims): T[] {
  return trims.map((trim) => ({
    ...trim,
    trimLn: trim.trimLn - general,
    byKind: trim.byKind.map((one) => ({ ...one, trimLn: one.trimLn - (byKind.get(one.shiftKind) ?? 0) })),
  }));
}

function total(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0);
}

function mean(values: readonly number[]): number {
  return values.length === 0 ? 0 : total(values) / values.length;
}
