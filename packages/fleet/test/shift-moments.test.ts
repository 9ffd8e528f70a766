import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rebaseShiftMoments } from '../src/estimate/rebase-moments.js';
import {
  mergeShiftMoments,
  NO_SHIFT_MOMENTS,
  roundObservation,
  type ShiftObservation,
  shiftMomentsOf,
  subtractShiftMoments,
} from '../src/estimate/shift-moments.js';
import { decodeShiftMoments, encodeShiftMoments } from '../src/estimate/shift-moments-codec.js';
import { NO_SHIFTS } from '../src/summaries/grade-counts.js';

const anyShift: fc.Arbitrary<ShiftObservation> = fc
  .record({
    shiftKind: fc.constantFrom('1-2', '2-3', '4-5'),
    nodes: fc.uniqueArray(fc.integer({ min: 0, max: 12 }), { minLength: 1, maxLength: 4 }),
    part: fc.double({ min: 0, max: 1, noNaN: true }),
    gain: fc.double({ min: 1, max: 8, noNaN: true }),
    y: fc.double({ min: -0.5, max: 0.5, noNaN: true }),
    weight: fc.oneof(fc.constant(0), fc.double({ min: 0, max: 1, noNaN: true })),
    flare: fc.constantFrom(0, 1),
  })
  .map(({ shiftKind, nodes, part, gain, y, weight, flare }) => ({
    shiftKind,
    row: { nodes, shares: nodes.map((_, i) => (i === 0 ? 1 - part : part / (nodes.length - 1))), gain },
    y,
    weight,
    counts: { ...NO_SHIFTS, shifts: 1, flare },
  }));
const someShifts = fc.array(anyShift, { maxLength: 30 });

const hex = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex');
const bytesOf = (shifts: ShiftObservation[]) => hex(encodeShiftMoments(shiftMomentsOf(shifts)));

describe('shift moments', () => {
  it('of two logs merged are those of all their shifts, to the bit', () => {
    fc.assert(
      fc.property(someShifts, someShifts, (a, b) => {
        const merged = mergeShiftMoments(shiftMomentsOf(a), shiftMomentsOf(b));
        expect(hex(encodeShiftMoments(merged))).toBe(bytesOf([...b, ...a]));
      }),
    );
  });

  it('keep no trace of a log that is taken back', () => {
    fc.assert(
      fc.property(someShifts, someShifts, (a, b) => {
        const left = subtractShiftMoments(shiftMomentsOf([...a, ...b]), shiftMomentsOf(b));
        expect(hex(encodeShiftMoments(left))).toBe(bytesOf(a));
      }),
    );
  });

  it('survive their encoding', () => {
    fc.assert(
      fc.property(someShifts, (shifts) => {
        const moments = shiftMomentsOf(shifts);
        expect(hex(encodeShiftMoments(decodeShiftMoments(encodeShiftMoments(moments))))).toBe(bytesOf(shifts));
        for (const [kind, own] of moments)
          expect(decodeShiftMoments(encodeShiftMoments(moments)).get(kind)).toEqual(own);
      }),
    );
  });

  it('are the plain sums of the rounded rows', () => {
    fc.assert(
      fc.property(someShifts, (shifts) => {
        const moments = shiftMomentsOf(shifts);
        for (const [kind, own] of moments) {
          const rows = shifts.map(roundObservation).filter(({ shiftKind }) => shiftKind === kind);
          const at = (row: (typeof rows)[number], node: number) => row.x[row.row.nodes.indexOf(node)] ?? 0;
          expect(own.square).toBe(rows.reduce((sum, { weight, y }) => sum + weight * y * y, 0));
          expect(own.counts.flare).toBe(rows.reduce((sum, { counts }) => sum + counts.flare, 0));
          for (const [i, node] of own.nodes.entries()) {
            expect(own.designResponse[i]).toBe(rows.reduce((sum, row) => sum + row.weight * at(row, node) * row.y, 0));
            for (const [j, other] of own.nodes.slice(0, i + 1).entries()) {
              const entry = own.designSquare[(i * (i + 1)) / 2 + j];
              expect(entry).toBe(rows.reduce((sum, row) => sum + row.weight * at(row, node) * at(row, other), 0));
            }
          }
        }
      }),
    );
  });

  it('rebased to a newer revision are those of the responses left over, to rounding, without the old grades', () => {
    fc.assert(
      fc.property(
        someShifts,
        fc.array(fc.integer({ min: -40, max: 40 }), { minLength: 13, maxLength: 13 }),
        (shifts, steps) => {
          const change = steps.map((step) => step / 512);
          const left = shifts.map(roundObservation).map((shift) => ({
            ...shift,
            y: shift.y - shift.row.nodes.reduce((sum, node, i) => sum + shift.x[i] * change[node], 0),
          }));
          const rebased = rebaseShiftMoments(shiftMomentsOf(shifts), change);
          for (const [kind, own] of rebased) {
            const rows = left.filter(({ shiftKind }) => shiftKind === kind);
            expect([own.counts, ...own.flares, ...own.passes].filter((value) => value !== 0)).toEqual([NO_SHIFTS]);
            expect(own.response).toBeCloseTo(
              rows.reduce((sum, { weight, y }) => sum + weight * y, 0),
              8,
            );
            expect(own.square).toBeCloseTo(
              rows.reduce((sum, { weight, y }) => sum + weight * y * y, 0),
              8,
            );
            for (const [i, node] of own.nodes.entries()) {
              const wanted = rows.reduce(
                (sum, { weight, x, y, row }) => sum + weight * (x[row.nodes.indexOf(node)] ?? 0) * y,
                0,
              );
              expect(own.designResponse[i]).toBeCloseTo(wanted, 8);
            }
          }
        },
      ),
    );
  });

  it('of no shifts are empty, and bytes of another version or cut short are refused', () => {
    expect(shiftMomentsOf([])).toEqual(NO_SHIFT_MOMENTS);
    const bytes = encodeShiftMoments(shiftMomentsOf(fc.sample(anyShift, { numRuns: 5, seed: 1 })));
    expect(() => decodeShiftMoments(Uint8Array.from(bytes, (byte, i) => (i === 0 ? 99 : byte)))).toThrow('version 99');
    for (let length = 0; length < bytes.length; length += 97) {
      expect(() => decodeShiftMoments(bytes.slice(0, length))).toThrow(RangeError);
    }
  });
});
