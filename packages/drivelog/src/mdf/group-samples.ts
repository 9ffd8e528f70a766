import type { DamagedRow } from '../log-reader.js';
import type { SignalPlan } from '../plan-signals.js';
import type { BlockFile } from './block-file.js';
import { type ChannelReader, channelReader, type NumbersReader } from './channel-reader.js';
import { type MdfColumn, secondsPer, timeMasterOf } from './list-columns.js';
import type { Inflate } from './random-access.js';
import { partOf, RecordCursor, type RecordRun } from './record-cursor.js';
import { type SignalColumn, signalColumn } from './signal-column.js';
import type { MdfGroup } from './structure.js';

/** A mapped channel and the signal that it is. */
export interface MappedColumn {
  readonly column: MdfColumn;
  readonly plan: SignalPlan;
}

/** Samples of one group, column by column. */
export interface SampleTable {
  /** On the clock of the records. */
  readonly timeS: Float64Array;
  /** One for each mapped column, in canonical units. */
  readonly columns: readonly Float64Array[];
}

/** Something odd that was met before or in a row of the table. */
export interface RowNote {
  readonly row: number;
  readonly damage: DamagedRow;
}

/** Letters of a text that are shown. */
const SHOWN_LETTERS = 60;

/** Reads the samples of one group: the time and mapped channels of each record that has a time. */
export class GroupSamples {
  /** Of the last `fill`, in the order of the records. */
  notes: RowNote[] = [];
  private readonly mapped: readonly MappedColumn[];
  private readonly group: MdfGroup;
  private readonly cursor: RecordCursor;
  private readonly readTime: NumbersReader;
  private readonly readers: readonly SignalColumn[];

  /** All columns must be of one group, one that `listColumns` offers. */
  constructor(file: BlockFile, mapped: readonly MappedColumn[], inflate: Inflate) {
    const [{ column }] = mapped;
    this.mapped = mapped;
    this.group = column.group;
    this.cursor = new RecordCursor(file, column.dataGroup, column.group, inflate);
    this.readTime = timeReader(file, column.group);
    this.readers = mapped.map(({ column: { group, channel }, plan }) =>
      signalColumn(channelReader(file, group, channel), plan),
    );
  }

  /** Overwrites a table with the next samples and returns how many there are: fewer than it has room for at the end only. */
  fill(table: SampleTable): number {
    const capacity = table.timeS.length;
    this.notes = [];
    let row = 0;
    while (row < capacity) {
      const run = this.cursor.next(capacity - row);
      if (run === undefined) break;
      row = this.takeTimed(run, table, row);
    }
    // Columns are read one after the other; equal lines keep the order of the columns.
    this.notes.sort((a, b) => a.damage.line - b.damage.line);
    if (row < capacity) this.noteMissing(row);
    return row;
  }

  /** Takes the records of a run that have a time. Returns the row after the last. */
  private takeTimed(run: RecordRun, table: SampleTable, firstRow: number): number {
    const { timeS } = table;
    this.readTime(run, timeS, firstRow);
    let row = firstRow;
    for (let start = 0; start < run.count; ) {
      let end = start;
      while (end < run.count && Number.isFinite(timeS[firstRow + end])) end++;
      if (row < firstRow + start) timeS.copyWithin(row, firstRow + start, firstRow + end);
      if (end > start) this.readColumns(partOf(run, start, end), table, row);
      row += end - start;
      if (end < run.count) this.note(row, run.firstIndex + end, 'time_missing', null, 'a record without a time');
      start = end + 1;
    }
    return row;
  }

  private readColumns(run: RecordRun, { columns }: SampleTable, row: number): void {
    for (const [i, read] of this.readers.entries()) {
      const { name } = this.mapped[i].column;
      read(run, columns[i], row, (index, found) =>
        this.note(row + index, run.firstIndex + index, 'value_unreadable', name, String(found)),
      );
    }
  }

  /** Records that the file promises but does not hold. */
  private noteMissing(row: number): void {
    const { recordCount } = this.group;
    const { count } = this.cursor;
    if (count === recordCount) return;
    this.note(
      row,
      count - 1,
      'too_few_fields',
      null,
      `${recordCount - count} of ${recordCount} records missing at the end`,
    );
  }

  private note(
    row: number,
    index: number,
    reason: 'time_missing' | 'too_few_fields' | 'value_unreadable',
    column: string | null,
    found: string,
  ): void {
    const damage = {
      line: index + 1,
      byteOffset: this.group.offset,
      column,
      reason,
      found: found.slice(0, SHOWN_LETTERS),
    };
    this.notes.push({ row, damage });
  }
}

/** Room for `rowCount` samples of so many columns. */
export function makeTable(columnCount: number, rowCount: number): SampleTable {
  const columns = Array.from({ length: columnCount }, () => new Float64Array(rowCount));
  return { timeS: new Float64Array(rowCount), columns };
}

/** Reads the times of a group's records (s); NaN where there is none. */
export function timeReader(file: BlockFile, group: MdfGroup): NumbersReader {
  const master = timeMasterOf(group);
  const channel = master && channelReader(file, group, master);
  const secondsPerUnit = master === undefined ? 1 : secondsPer(master);
  const read = numbersOf(channel);
  return (run, values, start) => {
    read(run, values, start);
    for (let i = start; i < start + run.count; i++) values[i] *= secondsPerUnit;
  };
}

function numbersOf(channel: ChannelReader | undefined): NumbersReader {
  if (channel?.numbers !== undefined) return channel.numbers;
  return (run, values, start) => {
    const physical = channel?.values(run);
    for (let i = 0; i < run.count; i++) values[start + i] = Number(physical?.[i] ?? NaN);
  };
}
