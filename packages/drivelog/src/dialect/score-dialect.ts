import type { BusTraffic, IdentifierTraffic } from './bus-traffic.js';
import { type DialectIdentifier, type DialectProfile, identifierText } from './dialect-profile.js';

/** In what an identifier of a capture and of a dialect do not agree. */
export interface DialectDisagreement {
  readonly kind: 'missing' | 'unexpected' | 'period' | 'length';
  /** Hexadecimal, three digits standard and eight extended. */
  readonly identifier: string;
  /** To be shown: `every 20 ms`, `8 bytes`, `not sent`. */
  readonly expected: string;
  readonly found: string;
}

/** How well a capture fits one dialect. */
export interface DialectScore {
  readonly dialect: string;
  /** Natural logarithm of the chance of the capture, given the dialect. Only differences between dialects mean anything. */
  readonly logLikelihood: number;
  /** Identifiers that agree in period and length. */
  readonly matched: number;
  /** matched / (matched + disagreeing), 0 to 1; 0 when nothing could be compared. */
  readonly agreement: number;
  readonly disagreements: readonly DialectDisagreement[];
}

/** Chance that a bus carries an identifier that its dialect does not know: diagnosis, added devices. */
const UNEXPECTED_CHANCE = 0.02;
/** Of an unknown identifier: every period from 1 ms to 100 s is as likely, on a logarithmic scale; nine lengths. */
const ANY_PERIOD = 1 / Math.log(1e5);
const ANY_LENGTH = 1 / 9;
/** Chance of another length than the usual one. */
const ODD_LENGTH_CHANCE = 0.02;
/** Clocks and bus load move a period by some 3 % from car to car. */
const CLOCK_SIGMA = 0.03;
/** Chance of a period that is off for other reasons: lost frames count more, the fewer intervals there are. */
const ODD_PERIOD_CHANCE = 0.02;
const ODD_PERIOD_PER_INTERVAL = 0.2;
/** Chance that an identifier without a clock is met in a capture. */
const EVENT_CHANCE = 0.5;

/** From here on a period disagrees (standard deviations), and a missing identifier is more than chance. */
const PERIOD_LIMIT_SIGMAS = 4;
const SURE_TO_BE_SEEN = 0.9;
/** Identifiers with fewer frames are single requests. */
const MIN_UNEXPECTED_FRAMES = 3;

/**
 * Log-likelihood of a capture under a dialect (methods.md 8). Each identifier of the dialect adds the chance of being
 * met or not in a capture of this length, times the density of its median period (normal in the logarithm, with a heavy
 * tail) and the chance of its length; each identifier that the dialect does not know adds that of a stranger.
 */
export function scoreDialect(traffic: BusTraffic, profile: DialectProfile): DialectScore {
  const known = new Map(profile.identifiers.map((entry) => [keyOf(entry), entry]));
  const disagreements: DialectDisagreement[] = [];
  let logLikelihood = 0;
  let matched = 0;
  for (const seen of traffic.identifiers) {
    const entry = known.get(keyOf(seen));
    known.delete(keyOf(seen));
    logLikelihood += entry === undefined ? logOfStranger(seen) : logOfSeen(seen, entry, traffic.durationS);
    const disagreement = entry === undefined ? strangerOf(seen) : disagreementOf(seen, entry);
    if (disagreement !== undefined) disagreements.push(disagreement);
    else if (entry !== undefined) matched++;
  }
  for (const entry of known.values()) {
    const chance = chanceSeen(entry, traffic.durationS);
    logLikelihood += Math.log(1 - chance);
    if (chance >= SURE_TO_BE_SEEN) disagreements.push(missing(entry));
  }
  const compared = matched + disagreements.length;
  const agreement = compared === 0 ? 0 : matched / compared;
  return { dialect: profile.dialect, logLikelihood, matched, agreement, disagreements };
}

function keyOf({ identifier, isExtended }: { readonly identifier: number; readonly isExtended: boolean }): string {
  return identifierText(identifier, isExtended);
}

/** Frames of a clock come for sure in a long capture; in a short one the first may not have come yet. */
function chanceSeen({ periodS, presence }: DialectIdentifier, durationS: number): number {
  return presence * (periodS === null ? EVENT_CHANCE : 1 - Math.exp(-durationS / periodS));
}

function logOfStranger({ periodS }: IdentifierTraffic): number {
  return Math.log(UNEXPECTED_CHANCE * ANY_LENGTH * (periodS === null ? 1 : ANY_PERIOD));
}

function logOfSeen(seen: IdentifierTraffic, entry: DialectIdentifier, durationS: number): number {
  const length = hasUsualLength(seen, entry)
    ? (1 - ODD_LENGTH_CHANCE) / entry.lengths.length
    : ODD_LENGTH_CHANCE * ANY_LENGTH;
  return Math.log(chanceSeen(entry, durationS) * length * periodDensity(seen, entry));
}

function periodDensity(seen: IdentifierTraffic, entry: DialectIdentifier): number {
  if (seen.periodS === null) return 1;
  if (entry.periodS === null) return ANY_PERIOD;
  const sigma = periodSigma(seen, entry);
  const z = Math.log(seen.periodS / entry.periodS) / sigma;
  const normal = Math.exp((-z * z) / 2) / (sigma * Math.sqrt(2 * Math.PI));
  const oddChance = Math.min(0.5, ODD_PERIOD_CHANCE + ODD_PERIOD_PER_INTERVAL / (seen.frames - 1));
  return (1 - oddChance) * normal + oddChance * ANY_PERIOD;
}

/** Clock, spread between cars, and sampling error of the median: 1.25 σ/√n with σ = 1.48 times half the quartile distance. */
function periodSigma({ spread, frames }: IdentifierTraffic, { periodSpread }: DialectIdentifier): number {
  const sampling = (1.25 * 1.48 * (spread ?? 0.1)) / Math.sqrt(Math.max(1, frames - 1));
  return Math.hypot(CLOCK_SIGMA, periodSpread, sampling);
}

function hasUsualLength({ usualLength }: IdentifierTraffic, { lengths }: DialectIdentifier): boolean {
  return lengths.includes(usualLength);
}

function disagreementOf(seen: IdentifierTraffic, entry: DialectIdentifier): DialectDisagreement | undefined {
  const identifier = keyOf(seen);
  if (!hasUsualLength(seen, entry)) {
    return {
      kind: 'length',
      identifier,
      expected: `${entry.lengths.join(' or ')} bytes`,
      found: `${seen.usualLength} bytes`,
    };
  }
  if (seen.periodS === null || entry.periodS === null || seen.spread === null) return undefined;
  const off = Math.abs(Math.log(seen.periodS / entry.periodS));
  if (off <= PERIOD_LIMIT_SIGMAS * periodSigma(seen, entry)) return undefined;
  return { kind: 'period', identifier, expected: periodText(entry.periodS), found: periodText(seen.periodS) };
}

function strangerOf(seen: IdentifierTraffic): DialectDisagreement | undefined {
  if (seen.frames < MIN_UNEXPECTED_FRAMES) return undefined;
  return { kind: 'unexpected', identifier: keyOf(seen), expected: 'not sent', found: periodText(seen.periodS) };
}

function missing(entry: DialectIdentifier): DialectDisagreement {
  return { kind: 'missing', identifier: keyOf(entry), expected: periodText(entry.periodS), found: 'not sent' };
}

function periodText(periodS: number | null): string {
  if (periodS === null) return 'at times';
  const ms = periodS * 1000;
  return `every ${ms >= 10 ? ms.toFixed(0) : ms.toPrecision(2)} ms`;
}
