import type { DamageLedger } from '../damage-ledger.js';
import { type GroupSamples, makeTable, type SampleTable } from './group-samples.js';

/** Rows of each group that are read at once. */
const ROWS = 1024;

/** Walks through the samples of one group one by one, so that groups can be joined in the order of time. */
export class SampleWalk {
  /** Of the current sample. `slots[i]` is the signal of `values[i]`. */
  timeS = NaN;
  readonly slots: readonly number[];
  readonly values: number[];
  /** Whether there is a current sample. */
  hasSample = false;
  private readonly samples: GroupSamples;
  private readonly damage: DamageLedger;
  private readonly table: SampleTable;
  private row = ROWS - 1;
  private rowCount = ROWS;
  private notedCount = 0;

  constructor(samples: GroupSamples, slots: readonly number[], damage: DamageLedger) {
    this.samples = samples;
    this.slots = slots;
    this.values = slots.map(() => NaN);
    this.damage = damage;
    this.table = makeTable(slots.length, ROWS);
  }

  /** Goes to the next sample. What is odd about it, or before it, is told to the ledger. */
  next(): void {
    const { samples, table, values } = this;
    this.row++;
    if (this.row === ROWS) {
      this.noteUpTo(ROWS);
      this.rowCount = samples.fill(table);
      this.row = 0;
      this.notedCount = 0;
    }
    if (samples.notes.length > 0) this.noteUpTo(this.row);
    this.hasSample = this.row < this.rowCount;
    if (!this.hasSample) return;
    this.timeS = table.timeS[this.row];
    for (let i = 0; i < values.length; i++) values[i] = table.columns[i][this.row];
  }

  private noteUpTo(row: number): void {
    const { notes } = this.samples;
    for (; this.notedCount < notes.length && notes[this.notedCount].row <= row; this.notedCount++) {
      this.damage.add(notes[this.notedCount].damage);
    }
  }
}
