import { LogFormatError } from '../log-format-error.js';
import type { RandomAccess } from './random-access.js';

/** Common header: id, reserved, length, link count. */
export const HEADER_BYTES = 24;
/** First byte that is not of the identification block. */
const FIRST_BLOCK = 64;
/** Blocks of description are small; only lists of data blocks may be long. */
const MAX_BLOCK_BYTES = 1 << 20;
const MAX_LIST_BYTES = 1 << 24;
const MAX_TEXT_BYTES = 4096;
/**
 * Description that is read of one file (bytes), every read counted with this much at least. Ten thousands of channels
 * need a tenth of it; without a limit, blocks that link to one another crosswise could be read for ever.
 */
const MAX_DESCRIPTION_BYTES = 1 << 28;
const MIN_READ_BYTES = 256;

/** A block of an MDF file: its links (absolute offsets, 0 for none) and its data part. */
export interface MdfBlock {
  readonly id: string;
  readonly offset: number;
  readonly length: number;
  readonly links: readonly number[];
  readonly data: DataView;
}

/** A block with its header only. */
export type MdfBlockHeader = Pick<MdfBlock, 'id' | 'offset' | 'length'> & { readonly linkCount: number };

/** The file is not what the layout of MDF 4 demands at this place. */
export function damagedAt(byteOffset: number, found: string, expected: string): LogFormatError {
  return new LogFormatError('mdf_damaged', { found, expected, position: { byteOffset } });
}

/** Reads blocks and checks every offset and length against the file before anything is allocated. */
export class BlockFile {
  readonly access: RandomAccess;
  private readonly visited = new Set<number>();
  private descriptionBytes = 0;

  constructor(access: RandomAccess) {
    this.access = access;
  }

  /** Bytes of the file; never more nor less than asked for. */
  bytes(offset: number, length: number): Uint8Array {
    if (!(offset >= 0 && length >= 0 && offset + length <= this.access.sizeBytes)) {
      throw damagedAt(offset, `${length} bytes beyond the end`, `a file of more than ${this.access.sizeBytes} bytes`);
    }
    const bytes = this.access.read(offset, length);
    if (bytes.length === length) return bytes;
    throw damagedAt(offset, `${bytes.length} bytes`, `${length} bytes`);
  }

  /** The header of the block at an offset, which must have one of these ids, such as `##DT`. */
  header(offset: number, ids: readonly string[]): MdfBlockHeader {
    const { sizeBytes } = this.access;
    if (!(offset >= FIRST_BLOCK && offset + HEADER_BYTES <= sizeBytes)) {
      throw damagedAt(
        offset,
        `a link to byte ${offset}`,
        `a block ${ids.join(' or ')} inside the ${sizeBytes} bytes of the file`,
      );
    }
    const view = viewOf(this.bytes(offset, HEADER_BYTES));
    const id = String.fromCharCode(...Array.from({ length: 4 }, (_, i) => view.getUint8(i)));
    if (!ids.includes(id)) throw damagedAt(offset, `a block “${printable(id)}”`, `a block ${ids.join(' or ')}`);
    const length = readU64(view, 8);
    const linkCount = readU64(view, 16);
    if (!(length >= HEADER_BYTES && length <= sizeBytes - offset)) {
      throw damagedAt(offset, `a block ${id} of ${length} bytes`, `${HEADER_BYTES} to ${sizeBytes - offset} bytes`);
    }
    if (!(linkCount <= (length - HEADER_BYTES) / 8)) {
      throw damagedAt(
        offset,
        `a block ${id} with ${linkCount} links`,
        `at most ${Math.floor((length - HEADER_BYTES) / 8)}`,
      );
    }
    return { id, offset, length, linkCount };
  }

  private count(offset: number, length: number): void {
    this.descriptionBytes += Math.max(length, MIN_READ_BYTES);
    if (this.descriptionBytes <= MAX_DESCRIPTION_BYTES) return;
    throw damagedAt(offset, 'blocks that go on without end', `at most ${MAX_DESCRIPTION_BYTES} bytes of description`);
  }

  /** A whole block of description, with at least so many links and bytes of data. */
  block(offset: number, ids: readonly string[], minLinks: number, minDataBytes: number): MdfBlock {
    const { id, length, linkCount } = this.header(offset, ids);
    const maxBytes = id === '##DL' ? MAX_LIST_BYTES : MAX_BLOCK_BYTES;
    const dataStart = HEADER_BYTES + 8 * linkCount;
    if (linkCount < minLinks || length < dataStart + minDataBytes || length > maxBytes) {
      const found = `a block ${id} of ${length} bytes with ${linkCount} links`;
      throw damagedAt(
        offset,
        found,
        `at least ${minLinks} links and ${minDataBytes} bytes of data, at most ${maxBytes} bytes in all`,
      );
    }
    this.count(offset, length);
    const bytes = this.bytes(offset, length);
    const view = viewOf(bytes);
    const links = Array.from({ length: linkCount }, (_, i) => readU64(view, HEADER_BYTES + 8 * i));
    return { id, offset, length, links, data: viewOf(bytes.subarray(dataStart)) };
  }

  /**
   * The blocks of a chain, each linking to the next by its link 0. A block that was met before in any chain of this
   * file is an error: chains of a file never meet.
   */
  *chain(first: number, id: string, minLinks: number, minDataBytes: number): Generator<MdfBlock, void, undefined> {
    let offset = first;
    while (offset !== 0) {
      if (this.visited.has(offset)) throw damagedAt(offset, `a second link to the block ${id}`, 'chains without loops');
      this.visited.add(offset);
      const block = this.block(offset, [id], minLinks, minDataBytes);
      yield block;
      offset = block.links[0];
    }
  }

  /** The text of a block TX or MD, shortened to 4 KiB; `''` without a link. */
  text(offset: number): string {
    if (offset === 0) return '';
    const { length, linkCount } = this.header(offset, ['##TX', '##MD']);
    const start = HEADER_BYTES + 8 * linkCount;
    this.count(offset, Math.min(length, MAX_TEXT_BYTES));
    const bytes = this.bytes(offset + start, Math.min(length - start, MAX_TEXT_BYTES));
    const end = bytes.indexOf(0);
    return new TextDecoder().decode(end < 0 ? bytes : bytes.subarray(0, end)).trim();
  }
}

export function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

/** A 64-bit count or offset. Beyond 2^53 it is inexact, which no check against a file size lets pass. */
export function readU64(view: DataView, at: number): number {
  return view.getUint32(at + 4, true) * 2 ** 32 + view.getUint32(at, true);
}

function printable(text: string): string {
  return text.replace(/[^ -~]/g, '?');
}
