import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rebaseShiftMoments } from '../src/estimate/rebase-moments.js';
import { type ShiftObservation, shiftMomentsOf } from '../src/estimate/shift-moments.js';
import {
  decodeShiftRows,
  encodeShiftRows,
  momentsOfRows,
  rebaseShiftRows,
  sameCommandRows,
  shiftRowsOf,
} from '../src/estimate/shift-rows.js';
import { NO_SHIFTS } from '../src/summaries/grade-counts.js';
import { aShift } from './small-fleet.js';

const anyShift: fc.Arbitrary<ShiftObservation> = fc
  .record({
    shiftKind: fc.constantFrom('1-2', '2-3', '3-4/sport'),
    first: fc.integer({ min: 0, max: 6 }),
    share: fc.double({ min: 0, max: 1, noNaN: true }),
    gain: fc.double({ min: 1, max: 8, noNaN: true }),
    y: fc.double({ min: -4, max: 4, noNaN: true }),
    weight: fc.double({ min: 0, max: 1, noNaN: true }),
  })
  .map(({ first, share, gain, ...rest }) =>
    aShift({ ...rest, row: { nodes: [first, first + 1], shares: [share, 1 - share], gain }, counts: NO_SHIFTS }),
  );
const shifts = fc.array(anyShift, { maxLength: 20 });
const CHANGE = [0.1, 0, -0.05, 0, 0, 0.2, -0.3, 0.1];

describe('rows of shifts', () => {
  it('come back from their bytes as they were, and are refused when cut short', () => {
    fc.assert(
      fc.property(shifts, (own) => {
        const rows = shiftRowsOf(own);
        const bytes = encodeShiftRows(rows);
        expect(decodeShiftRows(bytes)).toEqual(rows);
        expect(() => decodeShiftRows(bytes.subarray(0, bytes.length - 1))).toThrow(RangeError);
      }),
    );
    expect(() => decodeShiftRows(Uint8Array.from([9, 0, 0, 0]))).toThrow(/version 9/);
  });

  it('have the moments that their shifts have', () => {
    fc.assert(
      fc.property(shifts, (own) => {
        const told = own.filter(({ weight }) => weight >= 1 / 64);
        expect(momentsOfRows(shiftRowsOf(told))).toEqual(shiftMomentsOf(told));
      }),
    );
  });

  it('carried to another revision have the moments that their moments are carried to', () => {
    fc.assert(
      fc.property(shifts, (own) => {
        const told = own.filter(({ weight }) => weight >= 1 / 64);
        const carried = momentsOfRows(rebaseShiftRows(shiftRowsOf(told), CHANGE));
        for (const [kind, expected] of rebaseShiftMoments(shiftMomentsOf(told), CHANGE)) {
          expect(carried.get(kind)?.response).toBeCloseTo(expected.response, 9);
          expect(carried.get(kind)?.square).toBeCloseTo(expected.square, 8);
          for (const [i, value] of expected.designResponse.entries()) {
            expect(carried.get(kind)?.designResponse[i]).toBeCloseTo(value, 8);
          }
        }
      }),
    );
  });

  it('of the same command are those over nodes that did not change, and those between changes that cancel', () => {
    const at = (nodes: number[], gain = 1) =>
      aShift({ row: { nodes, shares: nodes.map(() => 1 / nodes.length), gain } });
    const kept = sameCommandRows(shiftRowsOf([at([3, 4]), at([0]), at([0, 1]), at([2, 7], 1), at([3])]), CHANGE);
    // (0.1 − 0.05)/2 is more than 2 %.
    expect([...kept.ends]).toEqual([2, 3]);
    expect([...kept.nodes]).toEqual([3, 4, 3]);
    const cancelling = sameCommandRows(shiftRowsOf([at([5, 6, 7])]), CHANGE);
    expect(cancelling.kind).toHaveLength(1);
  });
});
