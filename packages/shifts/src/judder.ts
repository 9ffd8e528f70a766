import { butterworth, SectionFilter } from './butterworth.js';

/** Band in which slip of a converter clutch is called judder (Hz); methods.md 3. */
const LOW_HZ = 5;
const HIGH_HZ = 15;
/** Sampling below this cannot show the band (Hz), with 5 % for jitter. */
const LEAST_RATE_HZ = 38;
const MOST_RATE_HZ = 250;
/** The filter settles for this long before its output counts (s). */
const SETTLE_S = 0.4;
/** Less slip than this tells no judder (s). */
const LEAST_S = 1;

interface SlipSample {
  readonly clockS: number;
  readonly slipRpm: number;
}

/**
 * R.m.s. of slip in 5–15 Hz, running: fourth-order Butterworth high-pass and low-pass in series on a regular grid at
 * the usual sampling rate, to which samples are brought by straight lines. Bounded memory.
 */
export class JudderMeter {
  private readonly stepS: number;
  private readonly filter: SectionFilter | null;
  private lastS = Number.NaN;
  private lastRpm = 0;
  private gridS = 0;
  private settledS = 0;
  private sumSquares = 0;
  private count = 0;

  constructor(usualIntervalS: number) {
    const sampleRateHz = Math.min(1 / usualIntervalS, MOST_RATE_HZ);
    this.stepS = 1 / sampleRateHz;
    this.filter =
      sampleRateHz >= LEAST_RATE_HZ
        ? new SectionFilter([
            ...butterworth({ kind: 'high', order: 4, cutOffHz: LOW_HZ, sampleRateHz }),
            ...butterworth({ kind: 'low', order: 4, cutOffHz: HIGH_HZ, sampleRateHz }),
          ])
        : null;
  }

  /** Takes one sample of slip; times must rise. */
  add({ clockS: timeS, slipRpm }: SlipSample): void {
    if (this.filter === null) return;
    if (Number.isNaN(this.lastS)) this.begin(timeS);
    while (this.gridS <= timeS) {
      const spanS = timeS - this.lastS;
      const share = spanS > 0 ? (this.gridS - this.lastS) / spanS : 1;
      this.takeGrid(this.filter, this.lastRpm + share * (slipRpm - this.lastRpm));
      this.gridS += this.stepS;
    }
    this.lastS = timeS;
    this.lastRpm = slipRpm;
  }

  private begin(timeS: number): void {
    this.lastS = timeS;
    this.gridS = timeS;
    this.settledS = timeS + SETTLE_S;
  }

  private takeGrid(filter: SectionFilter, slipRpm: number): void {
    const inBand = filter.next(slipRpm);
    if (this.gridS < this.settledS) return;
    this.sumSquares += inBand * inBand;
    this.count++;
  }

  /** Breaks off, as before a gear change: the next sample starts the filter anew. */
  pause(): void {
    if (Number.isNaN(this.lastS)) return;
    this.lastS = Number.NaN;
    this.filter?.reset();
  }

  /** Null when the sampling is too slow or less than a second was taken. */
  rms(): number | null {
    return this.count * this.stepS >= LEAST_S ? Math.sqrt(this.sumSquares / this.count) : null;
  }
}
