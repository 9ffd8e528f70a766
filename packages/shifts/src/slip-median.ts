const HALF_RANGE_RPM = 1000;

/** Running median of slip in bins of 1 rpm, clamped to ±1000 rpm: bounded memory for an hour of lock-up. */
export class SlipMedian {
  private readonly counts = new Uint32Array(2 * HALF_RANGE_RPM + 1);
  private count = 0;

  add(slipRpm: number): void {
    const bin = Math.min(Math.max(Math.round(slipRpm), -HALF_RANGE_RPM), HALF_RANGE_RPM) + HALF_RANGE_RPM;
    this.counts[bin] = (this.counts[bin] as number) + 1;
    this.count++;
  }

  clear(): void {
    this.counts.fill(0);
    this.count = 0;
  }

  /** Lower median; null while empty. */
  value(): number | null {
    let below = 0;
    for (let bin = 0; bin < this.counts.length; bin++) {
      below += this.counts[bin] as number;
      if (this.count > 0 && below * 2 >= this.count) return bin - HALF_RANGE_RPM;
    }
    return null;
  }
}
