import { LogFormatError } from '../log-format-error.js';
import { type BlockFile, damagedAt } from './block-file.js';
import { DATA_IDS, dataPieces } from './data-stream.js';
import type { Inflate } from './random-access.js';
import type { MdfDataGroup, MdfGroup } from './structure.js';

const NO_BYTES = new Uint8Array(0);

/** Walks through the records of one group, passing over those of others in the same stream. */
export class RecordCursor {
  /** The current record begins at `offset` of `bytes`: data bytes, then invalidation bytes. Valid until the next step. */
  bytes: Uint8Array = NO_BYTES;
  offset = 0;
  /** Records walked so far. */
  count = 0;
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
    this.pieces = dataPieces(file, dataGroup.data, inflate);
  }

  /** Goes to the next record; false when there is none, or only a part of one. */
  next(): boolean {
    while (this.count < this.group.recordCount) {
      const { recordIdSize } = this.dataGroup;
      if (!this.have(recordIdSize)) return false;
      const group = recordIdSize === 0 ? this.group : this.groupAt(recordIdSize);
      this.position += recordIdSize;
      if (group.isVariableLength) {
        if (!this.have(4)) return false;
        const length = readLittle(this.bytes, this.position, 4);
        if (!this.skip(4 + length)) return false;
        continue;
      }
      const length = group.dataBytes + group.invalidationBytes;
      if (!this.have(length)) return false;
      this.offset = this.position;
      this.position += length;
      if (group !== this.group) continue;
      this.count++;
      return true;
    }
    return false;
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
