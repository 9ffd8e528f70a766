import { LogFormatError } from '../log-format-error.js';
import { type BlockFile, damagedAt, HEADER_BYTES, type MdfBlockHeader, readU64, viewOf } from './block-file.js';
import type { Inflate } from './random-access.js';

/** Bytes of raw data read at once: few enough that memory of the pieces before is used again. */
const PIECE_BYTES = 1 << 18;
/** A packed block must be unpacked as a whole; writers keep to some megabytes. */
const MAX_UNPACKED_BYTES = 1 << 26;
/** Deflate packs at most 1032 to 1 (RFC 1951: 258 bytes in two bits); more is a lie. */
const MAX_DEFLATE_RATIO = 1032;
/** Blocks that a data group may link to. */
export const DATA_IDS = ['##DT', '##DV', '##DZ', '##DL', '##HL', '##LD'];

/** How a stream of record bytes is read. */
interface PieceOptions {
  readonly inflate: Inflate;
  /** Bytes of a record where all are equally long, else 1: blocks of raw data are best cut between records. */
  readonly recordBytes: number;
}

/**
 * The record bytes of a data group piece by piece, through whatever blocks they lie in: DT or DV, packed DZ, lists DL
 * and HL. No block is read twice, so that the work is bounded by the size of the file.
 */
export function* dataPieces(
  file: BlockFile,
  first: number,
  options: PieceOptions,
): Generator<Uint8Array, void, undefined> {
  if (first === 0) return;
  const visited = new Set<number>();
  yield* piecesOf(file, first, DATA_IDS, options, visited);
}

function* piecesOf(
  file: BlockFile,
  offset: number,
  ids: readonly string[],
  options: PieceOptions,
  visited: Set<number>,
): Generator<Uint8Array, void, undefined> {
  const header = file.header(offset, ids);
  if (visited.has(offset))
    throw damagedAt(offset, `a second link to the block ${header.id}`, 'data blocks that are used once');
  visited.add(offset);
  if (header.id === '##DZ') yield unpacked(file, header, options.inflate);
  else if (header.id === '##DT' || header.id === '##DV') yield* rawPieces(file, header, options);
  else if (header.id === '##HL') {
    const list = file.block(offset, ['##HL'], 1, 0).links[0];
    if (list !== 0) yield* piecesOf(file, list, ['##DL'], options, visited);
  } else if (header.id === '##DL') yield* listedPieces(file, offset, options, visited);
  else
    throw new LogFormatError('mdf_unsupported', {
      found: 'a column-oriented list of data (LD)',
      expected: 'records',
      position: { byteOffset: offset },
    });
}

function* rawPieces(
  file: BlockFile,
  { offset, length }: MdfBlockHeader,
  { recordBytes }: PieceOptions,
): Generator<Uint8Array, void, undefined> {
  const pieceBytes = recordBytes * Math.max(1, Math.floor(PIECE_BYTES / recordBytes));
  for (let at = offset + HEADER_BYTES; at < offset + length; at += pieceBytes) {
    yield file.bytes(at, Math.min(pieceBytes, offset + length - at));
  }
}

function* listedPieces(
  file: BlockFile,
  first: number,
  options: PieceOptions,
  visited: Set<number>,
): Generator<Uint8Array, void, undefined> {
  let offset = first;
  while (offset !== 0) {
    const { links, data } = file.block(offset, ['##DL'], 1, 8);
    const count = data.getUint32(4, true);
    if (count !== links.length - 1) throw damagedAt(offset, `a list of ${count} blocks`, `${links.length - 1} blocks`);
    for (const link of links.slice(1)) yield* piecesOf(file, link, ['##DT', '##DV', '##DZ'], options, visited);
    offset = links[0];
    if (visited.has(offset)) throw damagedAt(offset, 'a second link to a list of data', 'lists without loops');
    visited.add(offset);
  }
}

function unpacked(file: BlockFile, { offset, length }: MdfBlockHeader, inflate: Inflate): Uint8Array {
  const dataStart = HEADER_BYTES + 24;
  if (length < dataStart) throw damagedAt(offset, `a block ##DZ of ${length} bytes`, `at least ${dataStart}`);
  const head = file.bytes(offset, dataStart);
  const view = viewOf(head);
  const type = String.fromCharCode(head[24], head[25]);
  const zipType = head[26];
  const size = readU64(view, 32);
  const packedSize = readU64(view, 40);
  if (type !== 'DT' && type !== 'DV') throw damagedAt(offset, 'a packed block of another kind', 'packed records');
  if (zipType > 1) throw damagedAt(offset, `packing method ${zipType}`, 'deflate or transposed deflate');
  if (packedSize > length - dataStart)
    throw damagedAt(offset, `${packedSize} packed bytes`, `at most ${length - dataStart}`);
  const maxSize = Math.min(MAX_UNPACKED_BYTES, MAX_DEFLATE_RATIO * packedSize);
  if (size > maxSize) throw damagedAt(offset, `${packedSize} bytes that unpack to ${size}`, `at most ${maxSize}`);
  const bytes = inflated(inflate, file.bytes(offset + dataStart, packedSize), size, offset);
  return zipType === 1 ? untransposed(bytes, view.getUint32(28, true), offset) : bytes;
}

function inflated(inflate: Inflate, packed: Uint8Array, size: number, offset: number): Uint8Array {
  let bytes: Uint8Array;
  try {
    bytes = inflate(packed, size);
  } catch (cause) {
    const error = damagedAt(offset, 'packed data that cannot be unpacked', `a zlib stream of ${size} bytes`);
    error.cause = cause;
    throw error;
  }
  if (bytes.length === size) return bytes;
  throw damagedAt(offset, `packed data of ${bytes.length} bytes`, `${size} bytes`);
}

/** Whole rows of `width` bytes were written column by column; what is left over stands at the end as it was. */
function untransposed(bytes: Uint8Array, width: number, offset: number): Uint8Array {
  if (width === 0) throw damagedAt(offset, 'a transposition of rows of 0 bytes', 'rows of at least 1 byte');
  const rows = Math.floor(bytes.length / width);
  const records = bytes.slice();
  for (let column = 0; column < width && rows > 0; column++) {
    for (let row = 0; row < rows; row++) records[row * width + column] = bytes[column * rows + row];
  }
  return records;
}
