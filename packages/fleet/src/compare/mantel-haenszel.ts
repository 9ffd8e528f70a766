import type { Interval } from '../rates/wilson-interval.js';
import { normalCdf, normalCritical } from '../special/normal.js';

/** One stratum of a two-group comparison: `events` of `shifts` under the newer and the older revision. */
export interface StratumCounts {
  readonly newerEvents: number;
  readonly newerShifts: number;
  readonly olderEvents: number;
  readonly olderShifts: number;
}

/** A common ratio over strata; the interval is symmetric on the log scale. */
export interface CommonRatio extends Interval {
  readonly ratio: number;
  readonly logStandardError: number;
}

/** Whether the stratum was driven under both revisions and so can say anything. */
function isCommon({ newerShifts, olderShifts }: StratumCounts): boolean {
  return newerShifts > 0 && olderShifts > 0;
}

/**
 * Mantel–Haenszel common odds ratio, newer over older, for independent shifts. Log variance of Robins, Breslow and
 * Greenland 1986, Biometrics 42, 311–323. NaN when no stratum informs it.
 */
export function commonOddsRatio(strata: readonly StratumCounts[], confidence = 0.95): CommonRatio {
  let r = 0;
  let s = 0;
  let pr = 0;
  let psqr = 0;
  let qs = 0;
  for (const k of strata.filter(isCommon)) {
    const a = k.newerEvents;
    const b = k.newerShifts - a;
    const c = k.olderEvents;
    const d = k.olderShifts - c;
    const n = k.newerShifts + k.olderShifts;
    const [rk, sk, pk, qk] = [(a * d) / n, (b * c) / n, (a + d) / n, (b + c) / n];
    r += rk;
    s += sk;
    pr += pk * rk;
    psqr += pk * sk + qk * rk;
    qs += qk * sk;
  }
  return onLogScale(r / s, Math.sqrt(pr / (2 * r * r) + psqr / (2 * r * s) + qs / (2 * s * s)), confidence);
}

/**
 * Mantel–Haenszel common risk ratio, newer over older, for independent shifts. Log variance of Greenland and Robins
 * 1985, Biometrics 41, 55–68.
 */
export function commonRiskRatio(strata: readonly StratumCounts[], confidence = 0.95): CommonRatio {
  let newer = 0;
  let older = 0;
  let spread = 0;
  for (const k of strata.filter(isCommon)) {
    const n = k.newerShifts + k.olderShifts;
    const events = k.newerEvents + k.olderEvents;
    newer += (k.newerEvents * k.olderShifts) / n;
    older += (k.olderEvents * k.newerShifts) / n;
    spread += (k.newerShifts * k.olderShifts * events - k.newerEvents * k.olderEvents * n) / (n * n);
  }
  return onLogScale(newer / older, Math.sqrt(spread / (newer * older)), confidence);
}

function onLogScale(ratio: number, logStandardError: number, confidence: number): CommonRatio {
  const factor = Math.exp(normalCritical(confidence) * logStandardError);
  return { ratio, logStandardError, low: ratio / factor, high: ratio * factor };
}

/** Common risk difference with the two variances in use for independent shifts. */
export interface CommonRiskDifference {
  /** Newer minus older. */
  readonly difference: number;
  /** Greenland and Robins 1985, Biometrics 41, 55–68: right for few large strata. */
  readonly greenlandRobinsError: number;
  /** Sato 1989, Biometrics 45, 1323–1324: right for few large and for many sparse strata. */
  readonly satoError: number;
}

/** Mantel–Haenszel risk difference over the strata driven under both revisions. NaN without any. */
export function commonRiskDifference(strata: readonly StratumCounts[]): CommonRiskDifference {
  const sums = new RiskDifferenceSums();
  for (const k of strata) sums.add(k.newerEvents, k.newerShifts, k.olderEvents, k.olderShifts);
  return sums.difference();
}

/** The sums of `commonRiskDifference`, stratum by stratum. */
export class RiskDifferenceSums {
  private weight = 0;
  private sum = 0;
  private binomial = 0;
  private p = 0;
  private q = 0;

  /** `a` of `n1` newer and `c` of `n0` older shifts were events; a stratum driven under one revision only says nothing. */
  add(a: number, n1: number, c: number, n0: number): void {
    if (n1 === 0 || n0 === 0) return;
    const n = n1 + n0;
    this.weight += (n1 * n0) / n;
    this.sum += (a * n0 - c * n1) / n;
    this.binomial += (a * (n1 - a) * n0 * n0 * n0 + c * (n0 - c) * n1 * n1 * n1) / (n1 * n0 * n * n);
    this.p += (n1 * n1 * c - n0 * n0 * a + (n1 * n0 * (n0 - n1)) / 2) / (n * n);
    this.q += (a * (n0 - c) + c * (n1 - a)) / (2 * n);
  }

  difference(): CommonRiskDifference {
    const difference = this.sum / this.weight;
    return {
      difference,
      greenlandRobinsError: Math.sqrt(this.binomial) / this.weight,
      satoError: Math.sqrt(Math.max(0, difference * this.p + this.q)) / this.weight,
    };
  }
}

/** Chi-square statistic on one degree of freedom and its p-value. */
export interface CochranMantelHaenszel {
  readonly chiSquare: number;
  readonly pValue: number;
}

/**
 * Cochran–Mantel–Haenszel test of no association within strata, for independent shifts (Mantel and Haenszel 1959,
 * J. Natl. Cancer Inst. 22, 719–748). The continuity correction never exceeds the departure itself.
 */
export function cochranMantelHaenszelTest(
  strata: readonly StratumCounts[],
  { continuityCorrection = true }: { readonly continuityCorrection?: boolean } = {},
): CochranMantelHaenszel {
  let departure = 0;
  let variance = 0;
  for (const k of strata.filter(isCommon)) {
    const n = k.newerShifts + k.olderShifts;
    if (n < 2) continue;
    const events = k.newerEvents + k.olderEvents;
    departure += k.newerEvents - (k.newerShifts * events) / n;
    variance += (k.newerShifts * k.olderShifts * events * (n - events)) / (n * n * (n - 1));
  }
  const distance = Math.abs(departure);
  const corrected = distance - (continuityCorrection ? Math.min(0.5, distance) : 0);
  const chiSquare = corrected ** 2 / variance;
  return { chiSquare, pValue: 2 * normalCdf(-Math.sqrt(chiSquare)) };
}
