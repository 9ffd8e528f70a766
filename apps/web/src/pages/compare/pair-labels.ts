import type { ComparedContent } from '@syncline/contract';
import { keyOf, labelOf } from './compared-content.js';

/** What two compared contents are called. */
export interface PairLabels {
  readonly base: string;
  readonly other: string;
}

/** Labels of both, or undefined when one of them is not among what is known. */
export function pairLabels(
  known: readonly ComparedContent[],
  baseKey: string | undefined,
  otherKey: string | undefined,
): PairLabels | undefined {
  const base = known.find((side) => keyOf(side) === baseKey);
  const other = known.find((side) => keyOf(side) === otherKey);
  return base && other && { base: labelOf(base), other: labelOf(other) };
}
