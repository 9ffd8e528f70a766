/**
 * Running sums over strata from which the three differences of methods.md 7 follow. Terms can be taken out again
 * (`sign` −1), which makes leaving out one vehicle cost only the strata that it drove.
 */
export class ComparisonSums {
  private olderShifts = 0;
  private olderEvents = 0;
  private newerShifts = 0;
  private newerEvents = 0;
  private commonStrata = 0;
  private mantelHaenszelWeight = 0;
  private mantelHaenszelSum = 0;
  private standardShifts = 0;
  private standardOlder = 0;
  private standardNewer = 0;

  /** Adds (1) or takes out (−1) a stratum with `n0`, `x0` older and `n1`, `x1` newer shifts and events. */
  add(sign: 1 | -1, n0: number, x0: number, n1: number, x1: number): void {
    this.olderShifts += sign * n0;
    this.olderEvents += sign * x0;
    this.newerShifts += sign * n1;
    this.newerEvents += sign * x1;
    if (n0 === 0 || n1 === 0) return;
    const all = n0 + n1;
    this.commonStrata += sign;
    this.mantelHaenszelWeight += (sign * n0 * n1) / all;
    this.mantelHaenszelSum += (sign * (x1 * n0 - x0 * n1)) / all;
    this.standardShifts += sign * all;
    this.standardOlder += (sign * all * x0) / n0;
    this.standardNewer += (sign * all * x1) / n1;
  }

  copy(): ComparisonSums {
    return Object.assign(new ComparisonSums(), this);
  }

  isComparable(): boolean {
    return this.commonStrata > 0;
  }

  unadjusted(): number {
    return this.newerEvents / this.newerShifts - this.olderEvents / this.olderShifts;
  }

  /** Mantel–Haenszel risk difference, weights n0 n1 / (n0 + n1). */
  mantelHaenszel(): number {
    return this.mantelHaenszelSum / this.mantelHaenszelWeight;
  }

  /** Rates directly standardised to the pooled driving of the common strata. */
  standardisedRates(): { readonly older: number; readonly newer: number } {
    return { older: this.standardOlder / this.standardShifts, newer: this.standardNewer / this.standardShifts };
  }

  standardised(): number {
    return (this.standardNewer - this.standardOlder) / this.standardShifts;
  }
}
