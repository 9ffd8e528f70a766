import type { BusTraffic, IdentifierTraffic } from './bus-traffic.js';

/** How a dialect sends one identifier. */
export interface DialectIdentifier {
  readonly identifier: number;
  readonly isExtended: boolean;
  /** Usual time between frames (s); null when it is sent on events, not on a clock. */
  readonly periodS: number | null;
  /** Standard deviation of the logarithm of that time from car to car; 0 when only one car was seen. */
  readonly periodSpread: number;
  /** Usual payload lengths (bytes), rising. */
  readonly lengths: readonly number[];
  /** Chance that a car of this dialect sends it at all, 0 to 1. */
  readonly presence: number;
}

/** A known bus dialect. Plain JSON, kept with the platform. */
export interface DialectProfile {
  /** Id of the dialect on its platform. */
  readonly dialect: string;
  /** Captures of confirmed vehicles that it was learned from. */
  readonly captureCount: number;
  readonly identifiers: readonly DialectIdentifier[];
}

/** Above this spread of its intervals an identifier is not on a clock. Strong jitter gives 0.1, events 0.5 and more. */
const MAX_CLOCK_SPREAD = 0.4;

/** Identifiers met in fewer of the captures belong to single cars (diagnosis, added devices). */
const MIN_PRESENCE = 0.5;

/** Before anything was seen: an identifier of a dialect is sent by nearly all of its cars, as if seen in 9.5 of 10. */
const PRIOR_PRESENT = 9.5;
const PRIOR_CARS = 10;

/**
 * Learns a dialect from captures of confirmed vehicles, one bus each: median period and its spread over the captures,
 * usual lengths, and the share of captures with the identifier. Throws without captures.
 */
export function learnDialect(dialect: string, captures: readonly BusTraffic[]): DialectProfile {
  if (captures.length === 0) throw new Error('learnDialect needs at least one capture');
  const byIdentifier = new Map<string, IdentifierTraffic[]>();
  for (const entry of captures.flatMap((capture) => capture.identifiers)) {
    const key = identifierText(entry.identifier, entry.isExtended);
    byIdentifier.set(key, [...(byIdentifier.get(key) ?? []), entry]);
  }
  const identifiers = [...byIdentifier.values()]
    .filter((seen) => seen.length >= MIN_PRESENCE * captures.length)
    .map((seen) => learnIdentifier(seen, captures.length));
  return { dialect, captureCount: captures.length, identifiers };
}

/** Identifier in hexadecimal, three digits standard and eight extended, as in captures. */
export function identifierText(identifier: number, isExtended: boolean): string {
  return identifier
    .toString(16)
    .toUpperCase()
    .padStart(isExtended ? 8 : 3, '0');
}

function learnIdentifier(seen: readonly IdentifierTraffic[], captureCount: number): DialectIdentifier {
  const logPeriods = seen
    .filter(({ spread }) => spread !== null && spread <= MAX_CLOCK_SPREAD)
    .map(({ periodS }) => Math.log(periodS ?? NaN))
    .sort((a, b) => a - b);
  const isOnClock = logPeriods.length * 2 > seen.length;
  return {
    identifier: seen[0].identifier,
    isExtended: seen[0].isExtended,
    periodS: isOnClock ? Math.exp(median(logPeriods)) : null,
    periodSpread: isOnClock ? standardDeviation(logPeriods) : 0,
    lengths: [...new Set(seen.map(({ usualLength }) => usualLength))].sort((a, b) => a - b),
    presence: (seen.length + PRIOR_PRESENT) / (captureCount + PRIOR_CARS),
  };
}

function median(sorted: readonly number[]): number {
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

function standardDeviation(values: readonly number[]): number {
  if (values.length < 2) return 0;
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
}
