import type { SignalBatch, SignalId } from '../signals.js';

/** Gathers finished rows into batches of fixed length. */
export class BatchBuilder {
  /** Rows handed over so far. */
  sampleCount = 0;
  private readonly signals: readonly SignalId[];
  private readonly batchSize: number;
  private readonly ready: SignalBatch[] = [];
  private readonly missing: Float64Array;
  private timeS: Float64Array;
  private columns: Float64Array[];
  private row = 0;

  constructor(signals: readonly SignalId[], batchSize: number) {
    this.signals = signals;
    this.batchSize = batchSize;
    this.missing = new Float64Array(signals.length);
    this.timeS = new Float64Array(batchSize);
    this.columns = signals.map(() => new Float64Array(batchSize));
  }

  /** Adds the row whose values begin at `start` of `cells`. */
  add(timeS: number, cells: Float64Array, start: number): void {
    this.timeS[this.row] = timeS;
    for (let i = 0; i < this.columns.length; i++) {
      const value = cells[start + i];
      if (Number.isNaN(value)) this.missing[i]++;
      this.columns[i][this.row] = value;
    }
    this.sampleCount++;
    if (++this.row === this.batchSize) this.close();
  }

  /** The full batches since the last call. */
  takeFull(): SignalBatch[] {
    return this.ready.splice(0);
  }

  /** The full batches since the last call, and what was begun. */
  takeRest(): SignalBatch[] {
    if (this.row > 0) this.close();
    return this.takeFull();
  }

  missingValues(): Partial<Record<SignalId, number>> {
    return Object.fromEntries(this.signals.map((signal, i) => [signal, this.missing[i]]));
  }

  private close(): void {
    const { row } = this;
    this.ready.push({
      startIndex: this.sampleCount - row,
      timeS: this.timeS.slice(0, row),
      signals: Object.fromEntries(this.signals.map((signal, i) => [signal, this.columns[i].slice(0, row)])),
    });
    this.row = 0;
  }
}
