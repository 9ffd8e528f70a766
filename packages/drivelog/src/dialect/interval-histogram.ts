/** Bins of equal ratio, 2.2 % wide, from 60 µs to 4 minutes, so that memory is fixed. */
const BINS_PER_OCTAVE = 32;
const LOWEST_OCTAVE = -14;
const BIN_COUNT = 22 * BINS_PER_OCTAVE;

/** Counts intervals and answers their quantiles to about 1 %. */
export class IntervalHistogram {
  count = 0;
  private readonly bins = new Uint32Array(BIN_COUNT);

  add(intervalS: number): void {
    const bin = Math.floor((Math.log2(intervalS) - LOWEST_OCTAVE) * BINS_PER_OCTAVE);
    this.bins[Math.max(0, Math.min(BIN_COUNT - 1, bin))]++;
    this.count++;
  }

  /** The interval (s) below which a share of them lies, evenly spread inside its bin; NaN without intervals. */
  quantile(share: number): number {
    if (this.count === 0) return NaN;
    let rest = share * this.count;
    let bin = 0;
    while (bin < BIN_COUNT - 1 && (this.bins[bin] === 0 || rest > this.bins[bin])) rest -= this.bins[bin++];
    return 2 ** ((bin + rest / this.bins[bin]) / BINS_PER_OCTAVE + LOWEST_OCTAVE);
  }
}
