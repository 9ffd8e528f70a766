import type { SignalPlan } from '../plan-signals.js';
import type { SignalBatch, SignalId } from '../signals.js';
import type { TimeColumn } from './time-column.js';

/**
 * Rows being collected, column by column in one array; a full table leaves as a batch in canonical units: copied out of
 * the array, or, when batches are lent, with the array itself.
 */
export class BatchTable {
  /** Value of slot s in row r at `cells[s × stride + r]`. */
  cells: Float64Array;
  readonly stride: number;
  /** The row that is written next. It counts once committed; until then it may be overwritten. */
  row = 0;
  private takenCount = 0;
  private readonly missing: Uint32Array;
  private readonly signals: readonly SignalPlan[];
  private readonly time: TimeColumn;
  private readonly isLending: boolean;
  /** Arrays that batches are made of, and those that came back. */
  private lent: Float64Array[] = [];
  private readonly spare: Float64Array[] = [];

  constructor(
    signals: readonly SignalPlan[],
    time: TimeColumn,
    { batchSize, isLending }: { readonly batchSize: number; readonly isLending: boolean },
  ) {
    this.signals = signals;
    this.time = time;
    this.stride = batchSize;
    this.isLending = isLending;
    this.cells = new Float64Array((1 + signals.length) * batchSize);
    this.missing = new Uint32Array(signals.length);
  }

  /** Rows committed so far. */
  get sampleCount(): number {
    return this.takenCount + this.row;
  }

  /** Keeps the row just written; answers a batch when the table is full. */
  commitRow(): SignalBatch | null {
    this.row++;
    return this.row === this.stride ? this.takeRest() : null;
  }

  /** What has been collected since the last batch; null when nothing. */
  takeRest(): SignalBatch | null {
    if (this.row === 0) return null;
    const timeS = this.takeSlot(0);
    this.time.toSeconds(timeS);
    const signals: Partial<Record<SignalId, Float64Array>> = {};
    for (let i = 0; i < this.signals.length; i++) {
      const plan = this.signals[i];
      signals[plan.entry.signal] = this.takeSignal(i, plan);
    }
    const batch = { startIndex: this.takenCount, timeS, signals };
    this.takenCount += this.row;
    this.row = 0;
    if (this.isLending) {
      this.lent.push(this.cells);
      this.cells = this.spare.pop() ?? new Float64Array(this.cells.length);
    }
    return batch;
  }

  /** Nobody reads the batches of before any more. */
  takeBack(): void {
    this.spare.push(...this.lent);
    this.lent = [];
  }

  missingValues(): Partial<Record<SignalId, number>> {
    return Object.fromEntries(this.signals.map((plan, i) => [plan.entry.signal, this.missing[i] ?? 0]));
  }

  private takeSignal(index: number, { conversion }: SignalPlan): Float64Array {
    const values = this.takeSlot(index + 1);
    let missingCount = 0;
    for (let i = 0; i < values.length; i++) if (Number.isNaN(values[i])) missingCount++;
    this.missing[index] = (this.missing[index] ?? 0) + missingCount;
    if (conversion === null) return values;
    const { factor, offset } = conversion;
    for (let i = 0; i < values.length; i++) values[i] = values[i] * factor + offset;
    return values;
  }

  private takeSlot(slot: number): Float64Array {
    const start = slot * this.stride;
    const end = start + this.row;
    return this.isLending ? this.cells.subarray(start, end) : this.cells.slice(start, end);
  }
}
