/** How the bits of a field lie in its bytes. */
export type ByteOrder = 'little' | 'big';

/** Where a whole number lies in a run of bytes. */
export interface BitField {
  /**
   * Bit 8·byte + bit, where bit 0 is the lowest of its byte: of the lowest bit of the field in little-endian order, of
   * the highest bit in big-endian order.
   */
  readonly startBit: number;
  /** Number of bits, 1 to 64. Beyond 53 the nearest double is answered. */
  readonly length: number;
  readonly byteOrder: ByteOrder;
  /** Two's complement. */
  readonly signed: boolean;
}

/** Bytes that must be there, counted from the first. */
export function bytesNeeded({ startBit, length, byteOrder }: BitField): number {
  if (byteOrder === 'little') return Math.ceil((startBit + length) / 8);
  return (startBit >> 3) + 1 + Math.ceil(Math.max(0, length - (startBit & 7) - 1) / 8);
}

/** Reads a field from bytes that begin at `offset`. The bytes must be there. */
export function readBits(bytes: Uint8Array, offset: number, field: BitField): number {
  const { startBit, length, byteOrder, signed } = field;
  if (length > 53) return readLong(bytes, offset, field);
  const read = byteOrder === 'little' ? readLittle : readBig;
  const value = read(bytes, offset, startBit, length);
  return signed && value >= 2 ** (length - 1) ? value - 2 ** length : value;
}

function readLittle(bytes: Uint8Array, offset: number, startBit: number, length: number): number {
  let at = offset + (startBit >> 3);
  let lowBit = startBit & 7;
  let value = 0;
  for (let taken = 0; taken < length; at++) {
    const count = Math.min(8 - lowBit, length - taken);
    value += ((bytes[at] >> lowBit) & ((1 << count) - 1)) * 2 ** taken;
    taken += count;
    lowBit = 0;
  }
  return value;
}

function readBig(bytes: Uint8Array, offset: number, startBit: number, length: number): number {
  let at = offset + (startBit >> 3);
  let highBit = startBit & 7;
  let value = 0;
  for (let rest = length; rest > 0; at++) {
    const count = Math.min(highBit + 1, rest);
    value = value * 2 ** count + ((bytes[at] >> (highBit + 1 - count)) & ((1 << count) - 1));
    rest -= count;
    highBit = 7;
  }
  return value;
}

/** Fields of 54 to 64 bits, in two parts so that rounding happens once. */
function readLong(bytes: Uint8Array, offset: number, { startBit, length, byteOrder, signed }: BitField): number {
  const highLength = length - 32;
  const isLittle = byteOrder === 'little';
  const high = isLittle
    ? readLittle(bytes, offset, startBit + 32, highLength)
    : readBig(bytes, offset, startBit, highLength);
  const low = isLittle
    ? readLittle(bytes, offset, startBit, 32)
    : readBig(bytes, offset, bitBelow(startBit, highLength), 32);
  const value = (BigInt(high) << 32n) | BigInt(low);
  return Number(signed ? BigInt.asIntN(length, value) : value);
}

/** The bit that lies `count` bits below a bit in big-endian order. */
function bitBelow(bit: number, count: number): number {
  const place = (bit >> 3) * 8 + 7 - (bit & 7) + count;
  return (place >> 3) * 8 + 7 - (place & 7);
}
