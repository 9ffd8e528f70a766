import { LogarithmicBins } from '@syncline/drivelog';

/** A step back by less than this is a clock that was set or rows out of order; by more, another recording begins (s). */
const LARGEST_STEP_BACK_S = 1;
/** Intervals from here on may be gaps (s): longer than any shift phase that must be timed, five samples at 10 Hz. */
const GAP_S = 0.5;
/** A gap must also be this many times the usual interval, so that a slow log is not all gaps. */
const GAP_INTERVALS = 5;

/**
 * Running clock of a log whose time may repeat or step back: `nowS` is the latest time seen, so it never falls within
 * a recording. Nothing is repaired; what was odd is counted. A missing time counts as a repeat.
 */
export class SampleClock {
  nowS = Number.NaN;
  /** How far the last sample took the clock on (s); 0 for repeats and for samples from before a step back. */
  stepS = 0;
  /** The last sample began another recording: its time lies far back. */
  restarted = false;
  readonly intervals = new IntervalHistogram();
  sampleCount = 0;
  coveredS = 0;
  gaps = 0;
  longestGapS = 0;
  repeatedTimes = 0;
  stepsBack = 0;
  private lastTimeS = Number.NaN;

  advance(timeS: number): void {
    this.sampleCount++;
    this.stepS = 0;
    this.restarted = false;
    if (Number.isNaN(this.lastTimeS)) {
      this.lastTimeS = timeS;
      this.nowS = timeS;
      return;
    }
    if (timeS > this.nowS) this.stepOn(timeS);
    else if (timeS < this.lastTimeS) this.stepBack(timeS);
    else if (!(timeS > this.lastTimeS)) this.repeatedTimes++;
    if (!Number.isNaN(timeS)) this.lastTimeS = timeS;
  }

  private stepOn(timeS: number): void {
    const stepS = timeS - this.nowS;
    this.stepS = stepS;
    this.nowS = timeS;
    this.intervals.add(stepS);
    if (stepS > GAP_S && stepS > GAP_INTERVALS * this.intervals.median()) {
      this.gaps++;
      this.longestGapS = Math.max(this.longestGapS, stepS);
    } else this.coveredS += stepS;
  }

  private stepBack(timeS: number): void {
    this.stepsBack++;
    if (this.nowS - timeS <= LARGEST_STEP_BACK_S) return;
    this.restarted = true;
    this.nowS = timeS;
  }
}

const BINS_PER_E_FOLD = 20;
const SHORTEST_S = 1e-5;
const BIN_COUNT = 500;

/** Intervals of 1 ms to 1 s, which nearly all are. */
const USUAL = { fromExponent: -10, toExponent: 0 };

/**
 * Sampling intervals in bins of 5 % width with the mean of each bin, so that the median is found in bounded memory:
 * exact for regular sampling, within 5 % otherwise.
 */
class IntervalHistogram {
  count = 0;
  private readonly bins = new LogarithmicBins(binOf, USUAL);
  private readonly counts = new Float64Array(BIN_COUNT);
  private readonly sums = new Float64Array(BIN_COUNT);

  add(intervalS: number): void {
    const bin = this.bins.of(intervalS);
    this.counts[bin] = (this.counts[bin] as number) + 1;
    this.sums[bin] = (this.sums[bin] as number) + intervalS;
    this.count++;
  }

  /** NaN while empty. */
  median(): number {
    let below = 0;
    for (let bin = 0; bin < BIN_COUNT; bin++) {
      below += this.counts[bin] as number;
      if (below * 2 >= this.count && this.count > 0) return (this.sums[bin] as number) / (this.counts[bin] as number);
    }
    return Number.NaN;
  }
}

function binOf(intervalS: number): number {
  const bin = Math.floor(BINS_PER_E_FOLD * Math.log(intervalS / SHORTEST_S));
  return Math.min(Math.max(bin, 0), BIN_COUNT - 1);
}
