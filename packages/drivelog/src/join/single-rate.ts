import type { SignalBatch, SignalId } from '../signals.js';
import { baseCandidates } from './base-choice.js';
import { JOIN_RULES } from './join-rule.js';
import type { JoinedRows, JoinFindings } from './joined-rows.js';

/**
 * Makes batches of signals that all have a sample at each moment. They are what a `RateJoiner` would give, which has
 * nothing to join then, but whole columns at once.
 */
export class SingleRate implements JoinedRows {
  sampleCount = 0;
  startTimeS = NaN;
  private readonly signals: readonly SignalId[];
  private readonly missing: Float64Array;
  private lastS = NaN;
  private largestGapS = 0;
  private largestGapStartS = NaN;

  constructor(signals: readonly SignalId[]) {
    this.signals = signals;
    this.missing = new Float64Array(signals.length);
  }

  /**
   * The next rows as a batch, which is made of these very arrays. `timeS` is on the clock of the records and becomes
   * that of the batch; `columns[i]` belongs to signal i.
   */
  batchOf(timeS: Float64Array, columns: readonly Float64Array[]): SignalBatch {
    const startIndex = this.sampleCount;
    this.sampleCount += timeS.length;
    this.noteGaps(timeS);
    if (startIndex === 0) this.startTimeS = timeS[0];
    const { startTimeS } = this;
    for (let i = 0; i < timeS.length; i++) timeS[i] -= startTimeS;
    const signals: Partial<Record<SignalId, Float64Array>> = {};
    for (const [i, signal] of this.signals.entries()) {
      signals[signal] = columns[i];
      this.missing[i] += missingIn(columns[i]);
    }
    return { startIndex, timeS, signals };
  }

  missingValues(): Partial<Record<SignalId, number>> {
    return Object.fromEntries(this.signals.map((signal, i) => [signal, this.missing[i]]));
  }

  findings(): JoinFindings {
    const { signals, sampleCount, startTimeS, largestGapS } = this;
    const largestGapStartS = this.largestGapStartS - (sampleCount === 0 ? 0 : startTimeS);
    const entries = signals.map((signal) => {
      const rule = JOIN_RULES[signal].kind;
      return [signal, { rule, sampleCount, largestGapS, largestGapStartS }] as const;
    });
    const base = sampleCount === 0 ? undefined : signals[baseCandidates(signals)[0]];
    return { base: base ?? null, signals: Object.fromEntries(entries) };
  }

  /** Where time steps back the log is cut: that is no gap. */
  private noteGaps(timeS: Float64Array): void {
    let { lastS, largestGapS } = this;
    for (let i = 0; i < timeS.length; i++) {
      const gapS = timeS[i] - lastS;
      if (gapS > largestGapS) {
        largestGapS = gapS;
        this.largestGapStartS = lastS;
      }
      lastS = timeS[i];
    }
    this.lastS = lastS;
    this.largestGapS = largestGapS;
  }
}

function missingIn(values: Float64Array): number {
  let count = 0;
  for (let i = 0; i < values.length; i++) if (Number.isNaN(values[i])) count++;
  return count;
}
