import { type BitField, readBits } from '../read-bits.js';
import { type BlockFile, damagedAt, viewOf } from './block-file.js';
import { type Conversion, readConversion } from './conversion.js';
import type { MdfChannel, MdfGroup } from './structure.js';

/** Reads the physical value of a channel from a record; NaN where the record says that it is invalid. */
export type ChannelReader = (bytes: Uint8Array, offset: number, recordIndex: number) => number | string;

const TYPE_WORDS: Readonly<Record<number, string>> = {
  1: 'values of varying length',
  4: 'a link to a recording',
  5: 'values of varying length',
};

/** Why a channel cannot be a signal; undefined when it can. */
export function whyUnread(channel: MdfChannel): string | undefined {
  const { type, dataType, bitCount, bitOffset } = channel;
  if (isVirtual(channel)) return undefined;
  if (type !== 0 && type !== 2) return `it holds ${TYPE_WORDS[type] ?? `channel type ${type}`}`;
  if (dataType > 5) return dataType <= 9 ? 'it holds text' : `its data type ${dataType} is no number`;
  if (dataType >= 4 && (bitOffset !== 0 || (bitCount !== 32 && bitCount !== 64)))
    return `it holds floats of ${bitCount} bits`;
  if (bitCount < 1 || bitCount > 64) return `it has ${bitCount} bits`;
  return undefined;
}

/** Plans the reading of a channel. Undefined for one that is not read because of its conversion. */
export function channelReader(file: BlockFile, group: MdfGroup, channel: MdfChannel): ChannelReader | undefined {
  const convert = readConversion(file, channel.conversion);
  if (typeof convert !== 'function') return undefined;
  if ((channel.flags & 1) !== 0) return () => NaN;
  if (isVirtual(channel)) return (_bytes, _offset, recordIndex) => convert(recordIndex);
  assertInside(group, channel);
  const read = channel.dataType >= 4 ? floatReader(channel, convert) : wholeReader(channel, convert);
  if ((channel.flags & 2) === 0) return read;
  const invalidByte = group.dataBytes + (channel.invalidationBit >> 3);
  const invalidMask = 1 << (channel.invalidationBit & 7);
  return (bytes, offset, recordIndex) =>
    (bytes[offset + invalidByte] & invalidMask) !== 0 ? NaN : read(bytes, offset, recordIndex);
}

/** Virtual channels have no bytes: their raw value is the number of the record. */
function isVirtual({ type }: MdfChannel): boolean {
  return type === 3 || type === 6;
}

function assertInside({ dataBytes, invalidationBytes }: MdfGroup, channel: MdfChannel): void {
  const { offset, byteOffset, bitOffset, bitCount, flags, invalidationBit } = channel;
  const end = byteOffset + Math.ceil((bitOffset + bitCount) / 8);
  if (end > dataBytes || bitOffset > 7) {
    throw damagedAt(
      offset,
      `a channel in bytes ${byteOffset} to ${end} of its record`,
      `records of ${dataBytes} bytes`,
    );
  }
  if ((flags & 2) === 0 || invalidationBit < 8 * invalidationBytes) return;
  throw damagedAt(offset, `invalidation bit ${invalidationBit}`, `one of ${8 * invalidationBytes} bits`);
}

function floatReader({ byteOffset, bitCount, dataType }: MdfChannel, convert: Conversion): ChannelReader {
  const isLittle = dataType === 4;
  let seen: Uint8Array | undefined;
  let view: DataView;
  return (bytes, offset) => {
    if (bytes !== seen) {
      seen = bytes;
      view = viewOf(bytes);
    }
    const at = offset + byteOffset;
    return convert(bitCount === 32 ? view.getFloat32(at, isLittle) : view.getFloat64(at, isLittle));
  };
}

/** In big-endian order the bit offset counts from the lowest bit of the last byte. */
function wholeReader({ byteOffset, bitOffset, bitCount, dataType }: MdfChannel, convert: Conversion): ChannelReader {
  const isLittle = dataType === 0 || dataType === 2;
  const field: BitField = {
    startBit: isLittle ? bitOffset : (bitOffset + bitCount - 1) & 7,
    length: bitCount,
    byteOrder: isLittle ? 'little' : 'big',
    signed: dataType >= 2,
  };
  return (bytes, offset) => convert(readBits(bytes, offset + byteOffset, field));
}
