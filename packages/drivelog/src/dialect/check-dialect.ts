import type { BusTraffic } from './bus-traffic.js';
import type { DialectProfile } from './dialect-profile.js';
import { type DialectScore, scoreDialect } from './score-dialect.js';

/** When a capture is believed to speak a dialect. */
export interface DialectLimits {
  /** Least length of a capture (s). Default 10. */
  readonly minDurationS?: number;
  /** Least number of identifiers on the bus. Default 5. */
  readonly minIdentifiers?: number;
  /** Least share of identifiers that agree with the best dialect. Default 0.9. */
  readonly minAgreement?: number;
  /** Least lead over the second dialect in log-likelihood. Default ln 1000. */
  readonly minMargin?: number;
}

/**
 * Why a capture does not tell the dialect of its car: it is too short, no dialect is known to hold it against, none of
 * the known ones fits, or two of them fit alike. Only `no_fit` says something about the car.
 */
export type DialectDoubt = 'too_little' | 'none_known' | 'no_fit' | 'fit_alike';

/** What a capture says of the dialect of its car. The verdict follows from `observed` and the declared label. */
export interface DialectCheck {
  readonly busInterface: string;
  /** Best first. Each tells what disagrees, so that the declared dialect can be looked up too. */
  readonly scores: readonly DialectScore[];
  /** Lead of the best over the second; null with less than two known dialects. */
  readonly margin: number | null;
  /** The dialect that the car speaks; null when that cannot be told. */
  readonly observed: string | null;
  /** Why not; null when a dialect was observed. */
  readonly doubt: DialectDoubt | null;
  /** Why, in a sentence that can be shown. */
  readonly reason: string;
}

const DEFAULT_LIMITS = { minDurationS: 10, minIdentifiers: 5, minAgreement: 0.9, minMargin: Math.log(1000) };

/** Scores the traffic of one bus against the known dialects (methods.md 8). Cost: identifiers × dialects. */
export function checkDialect(
  traffic: BusTraffic,
  dialects: readonly DialectProfile[],
  limits: DialectLimits = {},
): DialectCheck {
  const scores = dialects
    .map((profile) => scoreDialect(traffic, profile))
    .sort((a, b) => b.logLikelihood - a.logLikelihood);
  const margin = scores.length < 2 ? null : scores[0].logLikelihood - scores[1].logLikelihood;
  const found = doubtOf(traffic, scores, margin, { ...DEFAULT_LIMITS, ...limits });
  const { busInterface } = traffic;
  if (found !== undefined) return { busInterface, scores, margin, observed: null, ...found };
  const [best] = scores;
  const reason = `${agreementText(best)} with ${best.dialect}`;
  return { busInterface, scores, margin, observed: best.dialect, doubt: null, reason };
}

/** Checks every bus of a capture and answers the one that agrees with most identifiers of a dialect. */
export function checkCapture(
  traffics: readonly BusTraffic[],
  dialects: readonly DialectProfile[],
  limits: DialectLimits = {},
): DialectCheck | null {
  const checks = traffics.map((traffic) => checkDialect(traffic, dialects, limits));
  const matched = (check: DialectCheck) => check.scores[0]?.matched ?? 0;
  const [first, ...others] = checks;
  if (first === undefined) return null;
  return others.reduce((best, check) => (matched(check) > matched(best) ? check : best), first);
}

function doubtOf(
  traffic: BusTraffic,
  scores: readonly DialectScore[],
  margin: number | null,
  limits: Required<DialectLimits>,
): { readonly doubt: DialectDoubt; readonly reason: string } | undefined {
  const { durationS, identifiers } = traffic;
  if (durationS < limits.minDurationS || identifiers.length < limits.minIdentifiers) {
    const reason = `too little traffic: ${identifiers.length} identifiers in ${durationS.toFixed(1)} s; needed are ${limits.minIdentifiers} in ${limits.minDurationS} s`;
    return { doubt: 'too_little', reason };
  }
  const [best, second] = scores;
  if (best === undefined) return { doubt: 'none_known', reason: 'no dialect of this platform is known yet' };
  if (best.agreement < limits.minAgreement) {
    const reason = `no known dialect fits: only ${agreementText(best)} with the nearest, ${best.dialect}`;
    return { doubt: 'no_fit', reason };
  }
  if (margin === null || margin >= limits.minMargin) return undefined;
  return { doubt: 'fit_alike', reason: `${best.dialect} and ${second.dialect} fit alike` };
}

function agreementText({ matched, disagreements }: DialectScore): string {
  return `${matched} of ${matched + disagreements.length} identifiers agree`;
}
