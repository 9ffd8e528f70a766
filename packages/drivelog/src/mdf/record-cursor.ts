import { LogFormatError } from '../log-format-error.js';
import { type BlockFile, damagedAt, viewOf } from './block-file.js';
import { DATA_IDS, dataPieces } from './data-stream.js';
import type { Inflate } from './random-access.js';
import type { MdfDataGroup, MdfGroup } from './structure.js';

const NO_BYTES = new Uint8Array(0);

/**
 * Records of one group that lie one behind the other: data bytes, then invalidation bytes. Record i begins at byte
 * `offset + i × stride` of `bytes` and is number `firstIndex + i` of its group, counted from 0.
 */
export interface RecordRun {
  readonly bytes: Uint8Array;
  /** Of `bytes`. */
  readonly view: DataView;
  readonly offset: number;
  readonly stride: number;
  readonly count: number;
  readonly firstIndex: number;
}

/** Records `start` (inclusive) to `end` (exclusive) of a run. */
export function partOf(run: RecordRun, start: number, end: number): RecordRun {
  if (start === 0 && end === run.count) return run;
  const { offset, stride, firstIndex } = run;
  return { ...run, offset: offset + start * stride, count: end - start, firstIndex: firstIndex + start };
}

/** Walks through the records of one group, passing over those of others in the same stream. */
export class RecordCursor {
  /** Records walked so far. */
  count = 0;
  private bytes: Uint8Array = NO_BYTES;
  private view: DataView = viewOf(NO_BYTES);
  private position = 0;
  private readonly pieces: Iterator<Uint8Array>;
  private readonly dataGroup: MdfDataGroup;
  private readonly group: MdfGroup;
  private readonly groupOfId: ReadonlyMap<number, MdfGroup>;

  constructor(file: BlockFile, dataGroup: MdfDataGroup, group: MdfGroup, inflate: Inflate) {
    this.dataGroup = dataGroup;
    this.group = group;
    this.groupOfId = new Map(dataGroup.groups.map((entry) => [entry.recordId, entry]));
    assertReadable(file, dataGroup);
    const recordBytes = dataGroup.groups.length === 1 ? strideOf(dataGroup, group) : 1;
    this.pieces = dataPieces(file, dataGroup.data, { inflate, recordBytes });
  }

  /** The next records, at most so many; undefined when there is none, or only a part of one. Valid until the next call. */
  next(maxCount: number): RecordRun | undefined {
    while (this.count < this.group.recordCount) {
      const { recordIdSize } = this.dataGroup;
      if (!this.have(recordIdSize)) return undefined;
      const group = recordIdSize === 0 ? this.group : this.groupAt(recordIdSize);
      this.position += recordIdSize;
      if (group.isVariableLength) {
        if (!this.have(4)) return undefined;
        const length = readLittle(this.bytes, this.position, 4);
        if (!this.skip(4 + length)) return undefined;
        continue;
      }
      const length = group.dataBytes + group.invalidationBytes;
      if (!this.have(length)) return undefined;
      this.position += length;
      if (group === this.group) return this.runFrom(this.position - length, maxCount);
    }
    return undefined;
  }

  /** The run of a record that was just passed and of those that follow it at once. */
  private runFrom(offset: number, maxCount: number): RecordRun {
    const { bytes, view, group, dataGroup, count: firstIndex } = this;
    const { recordIdSize } = dataGroup;
    const stride = strideOf(dataGroup, group);
    const limit = Math.min(maxCount, group.recordCount - firstIndex);
    const lastStart = bytes.length - stride;
    let position = this.position;
    let count = 1;
    while (count < limit && position <= lastStart) {
      if (recordIdSize > 0 && readLittle(bytes, position, recordIdSize) !== group.recordId) break;
      position += stride;
      count++;
    }
    this.position = position;
    this.count += count;
    return { bytes, view, offset, stride, count, firstIndex };
  }

  private groupAt(recordIdSize: number): MdfGroup {
    const id = readLittle(this.bytes, this.position, recordIdSize);
    const group = this.groupOfId.get(id);
    if (group !== undefined) return group;
    throw damagedAt(
      this.dataGroup.data,
      `a record with id ${id}`,
      `one of ${[...this.groupOfId.keys()].slice(0, 8).join(', ')}`,
    );
  }

  /** Makes so many bytes available from the position on. Pieces are put together once, however small they are. */
  private have(length: number): boolean {
    let available = this.bytes.length - this.position;
    if (available >= length) return true;
    const parts = available > 0 ? [this.bytes.subarray(this.position)] : [];
    while (available < length) {
      const { value: piece, done } = this.pieces.next();
      if (done) return false;
      parts.push(piece);
      available += piece.length;
    }
    this.bytes = parts.length === 1 ? parts[0] : joined(parts, available);
    this.view = viewOf(this.bytes);
    this.position = 0;
    return true;
  }

  private skip(length: number): boolean {
    let left = length;
    while (left > this.bytes.length - this.position) {
      left -= this.bytes.length - this.position;
      this.position = this.bytes.length;
      if (!this.have(1)) return false;
    }
    this.position += left;
    return true;
  }
}

/** Bytes from a record of a group to the next that follows at once. */
function strideOf({ recordIdSize }: MdfDataGroup, { dataBytes, invalidationBytes }: MdfGroup): number {
  return recordIdSize + dataBytes + invalidationBytes;
}

/** Blocks DV hold data bytes only; their invalidation bytes lie in other blocks, which are not read. */
function assertReadable(file: BlockFile, { data, groups }: MdfDataGroup): void {
  const hasInvalidation = groups.some(({ invalidationBytes }) => invalidationBytes > 0);
  if (data === 0 || !hasInvalidation || file.header(data, DATA_IDS).id !== '##DV') return;
  const found = 'data values apart from their invalidation bits (DV)';
  throw new LogFormatError('mdf_unsupported', { found, expected: 'records', position: { byteOffset: data } });
}

function joined(parts: readonly Uint8Array[], length: number): Uint8Array {
  const bytes = new Uint8Array(length);
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}

function readLittle(bytes: Uint8Array, offset: number, length: number): number {
  let value = 0;
  for (let i = length - 1; i >= 0; i--) value = value * 256 + bytes[offset + i];
  return value;
}
