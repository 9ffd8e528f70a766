import type { BlockFile } from './block-file.js';
import { type ChannelReader, channelReader } from './channel-reader.js';
import { type MdfColumn, secondsPer, timeMasterOf } from './list-columns.js';
import type { Inflate } from './random-access.js';
import { RecordCursor } from './record-cursor.js';

/** Walks through the samples of one group: the time and chosen channels of each record. */
export class GroupSamples {
  /** Of the current record; NaN when its time is invalid. */
  timeS = NaN;
  readonly values: (number | string)[];
  readonly columns: readonly MdfColumn[];
  private readonly cursor: RecordCursor;
  private readonly readTime: ChannelReader;
  private readonly readers: readonly (ChannelReader | undefined)[];
  private readonly secondsPerUnit: number;

  /** All columns must be of one group, one that `listColumns` offers. */
  constructor(file: BlockFile, columns: readonly MdfColumn[], inflate: Inflate) {
    const [{ dataGroup, group }] = columns;
    const master = timeMasterOf(group);
    this.columns = columns;
    this.cursor = new RecordCursor(file, dataGroup, group, inflate);
    this.readTime = (master && channelReader(file, group, master)) ?? (() => NaN);
    this.secondsPerUnit = master === undefined ? 1 : secondsPer(master);
    this.readers = columns.map(({ channel }) => channelReader(file, group, channel));
    this.values = columns.map(() => NaN);
  }

  get recordCount(): number {
    return this.cursor.count;
  }

  /** Records that the file promises but does not hold. Valid at the end. */
  get missingRecords(): number {
    return this.columns[0].group.recordCount - this.cursor.count;
  }

  next(): boolean {
    const { cursor } = this;
    if (!cursor.next()) return false;
    const { bytes, offset } = cursor;
    const index = cursor.count - 1;
    this.timeS = Number(this.readTime(bytes, offset, index)) * this.secondsPerUnit;
    for (let i = 0; i < this.readers.length; i++) this.values[i] = this.readers[i]?.(bytes, offset, index) ?? NaN;
    return true;
  }
}
