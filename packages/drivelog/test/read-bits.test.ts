import fc from 'fast-check';
import { expect, it } from 'vitest';
import { type BitField, bytesNeeded, readBits } from '../src/read-bits.js';

/** Bit by bit, in whole numbers of any size: the definition, slowly. */
function slowly(bytes: Uint8Array, { startBit, length, byteOrder, signed }: BitField): number {
  let value = 0n;
  let bit = startBit;
  for (let i = 0; i < length; i++) {
    const isSet = BigInt((bytes[bit >> 3] >> (bit & 7)) & 1);
    value = byteOrder === 'little' ? value | (isSet << BigInt(i)) : (value << 1n) | isSet;
    if (byteOrder === 'little') bit++;
    else bit = (bit & 7) === 0 ? bit + 15 : bit - 1;
  }
  return Number(signed ? BigInt.asIntN(length, value) : value);
}

const field = fc.record<BitField>({
  startBit: fc.nat(63),
  length: fc.integer({ min: 1, max: 64 }),
  byteOrder: fc.constantFrom('little', 'big'),
  signed: fc.boolean(),
});

it('any field is read as its bits one by one tell', () => {
  const property = fc.property(field, fc.uint8Array({ minLength: 17, maxLength: 17 }), (bits, bytes) => {
    expect(readBits(bytes, 0, bits)).toBe(slowly(bytes, bits));
    const shifted = Uint8Array.from([7, 7, 7, ...bytes]);
    expect(readBits(shifted, 3, bits)).toBe(slowly(bytes, bits));
  });
  fc.assert(property, { numRuns: 2000, seed: 7 });
});

it('the bytes needed are those whose change can change the value', () => {
  const property = fc.property(field, (bits) => {
    const last = bytesNeeded(bits) - 1;
    const zeros = new Uint8Array(24);
    const touched = zeros.slice();
    touched[last] = 255;
    expect(readBits(touched, 0, bits)).not.toBe(readBits(zeros, 0, bits));
    const beyond = zeros.slice();
    beyond.fill(255, last + 1);
    expect(readBits(beyond, 0, bits)).toBe(0);
  });
  fc.assert(property, { numRuns: 500, seed: 8 });
});
