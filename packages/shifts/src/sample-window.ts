import { SIGNAL_IDS, type SignalBatch, type SignalId } from '@syncline/drivelog';

/** Samples that are always at hand before the one in work: 82 s at 100 Hz, 8 s at 1 kHz. */
export const KEPT_SAMPLES = 8192;
/** Batches are taken in by pieces of at most this many samples. */
export const PIECE_SAMPLES = 2048;
const CAPACITY = 2 * KEPT_SAMPLES;

/**
 * The latest samples of a log in columns: at least the last `KEPT_SAMPLES` before any sample of the last piece.
 * A sample is known by its index in the whole log; its slot in the columns is `index - firstIndex`.
 */
export class SampleWindow {
  readonly timeS = new Float64Array(CAPACITY);
  /** Running clock (sample-clock.ts), filled in by the finder as it goes. */
  readonly clockS = new Float64Array(CAPACITY);
  readonly columns: Partial<Record<SignalId, Float64Array>> = {};
  /** Signals with at least one value so far. */
  readonly seen = new Set<SignalId>();
  firstIndex = 0;
  length = 0;

  /** Takes samples `from` to `to` (exclusive, at most `PIECE_SAMPLES`) of a batch; absent signals become NaN. */
  append(batch: SignalBatch, from: number, to: number): void {
    if (this.length === 0) this.firstIndex = batch.startIndex + from;
    if (this.length + to - from > CAPACITY) this.dropOldest();
    this.timeS.set(batch.timeS.subarray(from, to), this.length);
    for (const id of SIGNAL_IDS) this.appendSignal(id, batch.signals[id]?.subarray(from, to), to - from);
    this.length += to - from;
  }

  private appendSignal(id: SignalId, values: Float64Array | undefined, count: number): void {
    let column = this.columns[id];
    if (values === undefined) {
      column?.fill(Number.NaN, this.length, this.length + count);
      return;
    }
    if (column === undefined) {
      column = new Float64Array(CAPACITY).fill(Number.NaN);
      this.columns[id] = column;
    }
    column.set(values, this.length);
    if (!this.seen.has(id) && values.some(Number.isFinite)) this.seen.add(id);
  }

  private dropOldest(): void {
    const from = this.length - KEPT_SAMPLES;
    for (const column of [this.timeS, this.clockS, ...Object.values(this.columns)]) {
      column.copyWithin(0, from, this.length);
    }
    this.firstIndex += from;
    this.length = KEPT_SAMPLES;
  }
}

/** Value of a column in a slot; NaN of a signal that the log does not have. */
export function valueAt(column: Float64Array | undefined, slot: number): number {
  return column === undefined ? Number.NaN : (column[slot] as number);
}
