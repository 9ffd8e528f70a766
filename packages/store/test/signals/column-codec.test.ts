import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CHUNK_SIZE, decodeColumn, encodeColumn } from '../../src/signals/column-codec.js';

function packAndUnpack(values: readonly number[]): number[] {
  return [...decodeColumn(encodeColumn(Float64Array.from(values)))];
}

const decimals = (places: number) =>
  fc.integer({ min: -2_000_000, max: 2_000_000 }).map((whole) => whole / 10 ** places);

describe('a packed column', () => {
  it.each([
    ['doubles of any kind', fc.double()],
    ['whole numbers', fc.integer()],
    ['decimal numbers of two places', decimals(2)],
    ['decimal numbers of six places', decimals(6)],
    ['decimal numbers with gaps', fc.option(decimals(1), { nil: Number.NaN })],
    ['doubles with gaps', fc.option(fc.double({ noNaN: true }), { nil: Number.NaN })],
    ['switches', fc.constantFrom(0, 1)],
    ['zeros of either sign', fc.constantFrom(0, -0)],
  ])('gives %s back exactly', (_case, value) => {
    fc.assert(
      fc.property(fc.array(value as fc.Arbitrary<number>, { maxLength: 200 }), (values) => {
        // toStrictEqual tells 0 from −0, and takes NaN for NaN.
        expect(packAndUnpack(values)).toStrictEqual(values);
      }),
      { numRuns: 60 },
    );
  });

  it.each([
    ['nothing', []],
    ['only missing values', [Number.NaN, Number.NaN]],
    ['steps too large for 32 bits', [0, 4e9, -4e9, 2 ** 53, -(2 ** 53)]],
    ['steps at the edge of 32 bits', [0, 2 ** 31 - 1, 0, -(2 ** 31), -1]],
    ['infinities', [1, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]],
    ['the smallest and the largest double', [Number.MIN_VALUE, Number.MAX_VALUE, -Number.MAX_VALUE]],
    ['times of a long drive in microseconds', Array.from({ length: 50 }, (_, i) => (3_600_000_000 + i * 10_013) / 1e6)],
    ['clock that steps back', [10.01, 10.02, 3.5, 3.51]],
  ])('gives %s back exactly', (_case, values) => {
    expect(packAndUnpack(values)).toStrictEqual(values);
  });

  it('of decimal numbers takes a fraction of the doubles', () => {
    const values = Array.from({ length: CHUNK_SIZE }, (_, i) => Math.round(1500 * Math.sin(i / 400) * 100) / 100);
    const bytes = encodeColumn(Float64Array.from(values));
    expect([...decodeColumn(bytes)]).toStrictEqual(values);
    expect(bytes.length).toBeLessThan((values.length * 8) / 4);
  });

  it('that claims more values than a chunk holds is refused before anything is made for them', () => {
    const bytes = encodeColumn(Float64Array.of(1, 2, 3));
    bytes.writeUInt32LE(4_000_000_000, 4);
    expect(() => decodeColumn(bytes)).toThrow(`at most ${CHUNK_SIZE} values`);
  });

  it('that holds fewer values than it claims is refused', () => {
    const bytes = encodeColumn(Float64Array.of(1, 2, 3));
    bytes.writeUInt32LE(4, 4);
    expect(() => decodeColumn(bytes)).toThrow('expected 4 values');
  });
});
