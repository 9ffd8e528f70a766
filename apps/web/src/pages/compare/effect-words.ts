import type { Effect } from '@syncline/contract';
import { counted, formatNumber } from '../../format/quantity.js';

type Insufficient = Extract<Effect, { kind: 'insufficient' }>;
type Estimate = Extract<Effect, { kind: 'estimate' }>;

const REASONS: Record<Insufficient['reason'], string> = {
  tooFewVehicles: 'too few cars',
  noOverlap: 'nothing was driven alike under both',
  tooFewShifts: 'too few shifts',
  tooFewEvents: 'too few events',
  dependsOnOneVehicle: 'the answer depends on one car',
};

/** What stands in place of a difference that cannot be told, with the counts that there are. */
export function insufficientWords(effect: Insufficient): string {
  return `cannot tell: ${insufficientReason(effect)}`;
}

/** Why there is no difference: “too few cars (40 shifts, 1 car)”. */
export function insufficientReason({ reason, shifts, vehicles }: Insufficient): string {
  return `${REASONS[reason]} (${counted(shifts, 'shift')}, ${counted(vehicles, 'car')})`;
}

/** A difference of two rates in percentage points, for example “−3.4 pp”. */
export function pointsWords(difference: number): string {
  return `${signedPoints(difference)}\u202fpp`;
}

/** Both ends of an interval in percentage points, for example “−5.1 to −1.6 pp”. */
export function pointsInterval({ low, high }: Pick<Estimate, 'low' | 'high'>): string {
  return `${signedPoints(low)} to ${pointsWords(high)}`;
}

function signedPoints(difference: number): string {
  const points = formatNumber(100 * difference, 1);
  return difference > 0 && points !== '0.0' ? `+${points}` : points;
}

/** A probability as per cent; never 0 or 100, which no evidence can give. */
export function probabilityWords(probability: number): string {
  if (probability > 0.999) return 'over 99.9\u202f%';
  if (probability < 0.001) return 'under 0.1\u202f%';
  const percent = 100 * probability;
  return `${formatNumber(percent, percent < 9.95 || percent > 90.05 ? 1 : 0)}\u202f%`;
}

const BETTER_WORDS: readonly (readonly [above: number, words: string])[] = [
  [0.99, 'almost surely'],
  [0.9, 'very likely'],
  [0.7, 'likely'],
  [0.3, 'as well as not'],
  [0.1, 'hardly'],
  [0.01, 'very unlikely'],
];

/** How a probability is said: “very likely”. */
export function betterWords(probability: number): string {
  return BETTER_WORDS.find(([above]) => probability > above)?.[1] ?? 'almost surely not';
}
