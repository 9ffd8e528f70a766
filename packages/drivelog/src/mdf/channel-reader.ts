import { type BitField, readBits } from '../read-bits.js';
import { type BlockFile, damagedAt } from './block-file.js';
import { type Convert, readConversion } from './conversion.js';
import type { RecordRun } from './record-cursor.js';
import type { MdfChannel, MdfGroup } from './structure.js';

/** Reads the physical values of a channel from runs of records; NaN where a record says that its value is invalid. */
export interface ChannelReader {
  /** One for each record, number or text. */
  values(run: RecordRun): ArrayLike<number | string>;
  /** The same without new arrays. Absent where a conversion is no straight line: its values may be texts. */
  readonly numbers?: NumbersReader;
}

/** Writes a number for each record of a run into `values`, from index `start` on. */
export type NumbersReader = (run: RecordRun, values: Float64Array, start: number) => void;

type Marker = (run: RecordRun, values: Float64Array | (number | string)[], start: number) => void;

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
  const conversion = readConversion(file, channel.conversion);
  if (!('kind' in conversion)) return undefined;
  if ((channel.flags & 1) !== 0)
    return numbersReader(({ count }, values, start) => void values.fill(NaN, start, start + count));
  const readRaw = rawReader(group, channel);
  const hasBit = !isVirtual(channel) && (channel.flags & 2) !== 0;
  const markInvalid = hasBit ? invalidMarker(group, channel) : () => {};
  if (conversion.kind === 'other') return otherReader(readRaw, conversion.convert, markInvalid);
  return numbersReader((run, values, start) => {
    readRaw(run, values, start);
    if (conversion.kind === 'linear') draw(conversion, values, start, start + run.count);
    markInvalid(run, values, start);
  });
}

function numbersReader(numbers: NumbersReader): ChannelReader {
  return {
    numbers,
    values(run) {
      const values = new Float64Array(run.count);
      numbers(run, values, 0);
      return values;
    },
  };
}

function otherReader(readRaw: NumbersReader, convert: Convert, markInvalid: Marker): ChannelReader {
  return {
    values(run) {
      const raw = new Float64Array(run.count);
      readRaw(run, raw, 0);
      const values = Array.from(raw, convert);
      markInvalid(run, values, 0);
      return values;
    },
  };
}

function draw(
  { p1, p2 }: { readonly p1: number; readonly p2: number },
  values: Float64Array,
  start: number,
  end: number,
) {
  for (let i = start; i < end; i++) values[i] = p1 + p2 * values[i];
}

/** NaN for what the bits of its record say is invalid. */
function invalidMarker({ dataBytes }: MdfGroup, { invalidationBit }: MdfChannel): Marker {
  const byteOffset = dataBytes + (invalidationBit >> 3);
  const mask = 1 << (invalidationBit & 7);
  return ({ bytes, offset, stride, count }, values, start) => {
    let at = offset + byteOffset;
    for (let i = start; i < start + count; i++) {
      if ((bytes[at] & mask) !== 0) values[i] = NaN;
      at += stride;
    }
  };
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

function rawReader(group: MdfGroup, channel: MdfChannel): NumbersReader {
  if (isVirtual(channel)) {
    return ({ count, firstIndex }, values, start) => {
      for (let i = 0; i < count; i++) values[start + i] = firstIndex + i;
    };
  }
  assertInside(group, channel);
  const { byteOffset } = channel;
  const read = fieldReader(channel);
  return (run, values, start) => {
    const { stride, count } = run;
    let at = run.offset + byteOffset;
    for (let i = start; i < start + count; i++) {
      values[i] = read(run, at);
      at += stride;
    }
  };
}

/** Reads the field that begins in a byte of a run. */
type FieldReader = (run: RecordRun, at: number) => number;

function fieldReader(channel: MdfChannel): FieldReader {
  const { bitOffset, bitCount, dataType } = channel;
  const isLittle = dataType === 0 || dataType === 2 || dataType === 4;
  if (dataType >= 4) {
    if (bitCount === 32) return ({ view }, at) => view.getFloat32(at, isLittle);
    return ({ view }, at) => view.getFloat64(at, isLittle);
  }
  const isSigned = dataType >= 2;
  switch (bitOffset === 0 ? bitCount : 0) {
    case 8:
      return isSigned ? ({ view }, at) => view.getInt8(at) : ({ view }, at) => view.getUint8(at);
    case 16:
      return isSigned ? ({ view }, at) => view.getInt16(at, isLittle) : ({ view }, at) => view.getUint16(at, isLittle);
    case 32:
      return isSigned ? ({ view }, at) => view.getInt32(at, isLittle) : ({ view }, at) => view.getUint32(at, isLittle);
  }
  // In big-endian order the bit offset counts from the lowest bit of the last byte.
  const field: BitField = {
    startBit: isLittle ? bitOffset : (bitOffset + bitCount - 1) & 7,
    length: bitCount,
    byteOrder: isLittle ? 'little' : 'big',
    signed: isSigned,
  };
  return ({ bytes }, at) => readBits(bytes, at, field);
}
