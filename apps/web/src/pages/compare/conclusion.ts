import type { CompareOutcomesResponse, Effect, OutcomeMeasure } from '@syncline/contract';
import { formatShare } from '../../format/rate.js';
import { MEASURE_VERBS } from '../../format/words.js';
import { insufficientReason, pointsInterval, pointsWords, probabilityWords } from './effect-words.js';
import type { PairLabels } from './pair-labels.js';

/** What a reader may take from a comparison of one measure, and what it does not say. */
export interface Conclusion {
  readonly may: string;
  readonly mayNot: readonly string[];
}

type Measured = CompareOutcomesResponse['measures'][number];
type Estimate = Extract<Effect, { kind: 'estimate' }>;

/** Where an interval holds 0 and one direction is still this likely, the evidence leans. */
const LEANING = 0.9;
/** Below this share of shifts driven alike, what holds for them need not hold for the driving as a whole. */
const THIN_OVERLAP = 0.5;

interface Compared extends Pick<CompareOutcomesResponse, 'measures' | 'overlap'> {
  readonly labels: PairLabels;
  readonly measure: OutcomeMeasure;
}

/** In plain sentences what the outcomes of one measure allow to conclude, and what they do not. */
export function conclude({ measures, overlap, labels, measure }: Compared): Conclusion {
  const measured = measures.find((entry) => entry.measure === measure);
  if (measured === undefined) return { may: 'Nothing is known of this measure.', mayNot: [] };
  const { adjusted, unadjusted } = measured;
  const may = adjusted.kind === 'estimate' ? estimatedWords(adjusted, measure, labels) : unknownWords(adjusted, labels);
  return {
    may,
    mayNot: [
      ...differentDriving(adjusted, unadjusted),
      ...(adjusted.kind === 'estimate' ? scopeWords(overlap) : []),
      ...worseElsewhere(measures, measure, labels),
      'It does not say which of the changed tables did it, nor that every single car does the same.',
    ],
  };
}

function estimatedWords(adjusted: Estimate, measure: OutcomeMeasure, { base, other }: PairLabels): string {
  const what = MEASURE_VERBS[measure];
  const probability = `the probability that its rate is the lower one is ${probabilityWords(adjusted.probabilityBetter)}`;
  const size = `${unsigned(adjusted.difference)} (${pointsInterval(adjusted)})`;
  if (adjusted.high < 0) return `Driven alike, ${other} ${what} less often than ${base}, by ${size}; ${probability}.`;
  if (adjusted.low > 0) return `Driven alike, ${other} ${what} more often than ${base}, by ${size}; ${probability}.`;
  const lean =
    adjusted.probabilityBetter >= LEANING
      ? ' It leans towards less.'
      : adjusted.probabilityBetter <= 1 - LEANING
        ? ' It leans towards more.'
        : '';
  return `Driven alike, it is open whether ${other} ${what} less or more often than ${base}: anything from ${pointsWords(adjusted.low)} to ${pointsWords(adjusted.high)} fits what was driven; ${probability}.${lean} That is no proof that both are alike.`;
}

function unknownWords(adjusted: Exclude<Effect, Estimate>, { base, other }: PairLabels): string {
  return `Whether ${other} is better or worse than ${base} cannot be told: ${insufficientReason(adjusted)}.`;
}

/** Says it where the plain difference would have misled. */
function differentDriving(adjusted: Effect, unadjusted: Effect): string[] {
  if (unadjusted.kind === 'insufficient') return [];
  const plain = `As driven the difference is ${pointsWords(unadjusted.difference)}`;
  if (adjusted.kind === 'insufficient') return [`${plain}; that may come from other driving and other cars alone.`];
  const isElsewhere = unadjusted.difference < adjusted.low || unadjusted.difference > adjusted.high;
  const isTurned = unadjusted.difference * adjusted.difference < 0;
  return isElsewhere || isTurned ? [`${plain}: a part of it comes from other driving and not from the maps.`] : [];
}

function scopeWords(overlap: number): string[] {
  if (overlap > 0.995) return [];
  const share = `It holds where both were driven, ${formatShare(overlap)} of the shifts`;
  return [
    overlap < THIN_OVERLAP
      ? `${share}: less than half. Elsewhere nothing is known.`
      : `${share}; elsewhere nothing is known.`,
  ];
}

/** Other measures that clearly became more frequent. */
function worseElsewhere(measures: readonly Measured[], measure: OutcomeMeasure, { other }: PairLabels): string[] {
  return measures.flatMap((entry) =>
    entry.measure !== measure && entry.adjusted.kind === 'estimate' && entry.adjusted.low > 0
      ? [
          `On the other hand ${other} ${MEASURE_VERBS[entry.measure]} more often, by ${unsigned(entry.adjusted.difference)}.`,
        ]
      : [],
  );
}

function unsigned(difference: number): string {
  return pointsWords(Math.abs(difference)).replace('+', '');
}
