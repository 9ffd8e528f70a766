import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rawOf, valueOf } from '../../src/layout/storage.ts';
import { storedValueReader } from '../../src/transfer/stored-value.ts';
import { aStoredValue, decimalAt, tables } from './example-image.ts';

describe('storedValueReader', () => {
  // Decimal arithmetic by hand; the sums in double precision end in …04 or …97.
  it.each([
    [{ type: 'u8', resolution: 0.1, offset: 0 }, 3, 0.3],
    [{ type: 's16', resolution: 0.01, offset: -40 }, 4007, 0.07],
    [{ type: 's32', resolution: 1e-7, offset: 0 }, 3, 3e-7],
    [{ type: 'u16', resolution: 0.0078125, offset: 0 }, 129, 1.0078125],
    [{ type: 'u16', resolution: 5, offset: 2.25 }, 3, 17.25],
    [{ type: 's8', resolution: 0.1, offset: 0 }, 0, 0],
  ] as const)('reads with %j the raw %i as %d', (storage, raw, value) => {
    expect(storedValueReader(storage)(raw)).toBe(value);
  });

  it.each([
    [0.1, 0.1],
    [-1234.5, -1234.5],
    [16_777_217, 16_777_216],
  ])('reads what binary32 keeps of %d as %d', (value, read) => {
    const storage = { type: 'f32', resolution: 1, offset: 0 } as const;
    expect(storedValueReader(storage)(rawOf(storage, value))).toBe(read);
  });

  it('gives the decimal number that was stored, and never one that is kept differently', () => {
    for (const { storage } of tables) {
      const read = storedValueReader(storage);
      fc.assert(
        fc.property(aStoredValue(storage), (value) => {
          expect(read(rawOf(storage, value))).toBe(value);
        }),
      );
    }
  });

  it('keeps raw numbers with resolutions that have no short decimal form', () => {
    const storage = { type: 'u16', resolution: 1 / 3, offset: Math.PI } as const;
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 65_535 }), (raw) => {
        const value = storedValueReader(storage)(raw);
        expect(rawOf(storage, value)).toBe(raw);
        expect(Math.abs(value - valueOf(storage, raw))).toBeLessThan(1e-11);
      }),
    );
    expect(decimalAt({ type: 'u8', resolution: 0.5, offset: 1 }, 3)).toBe(2.5);
  });
});
