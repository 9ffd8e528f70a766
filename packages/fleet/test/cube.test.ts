import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addSlices,
  type Cell,
  type CountedCell,
  cellFilter,
  cellKey,
  cellOfCoveragePart,
  cellOfKey,
  cellOfMatrixPart,
  columnOf,
  compareOutcomes,
  comparisonTable,
  coveragePart,
  decodeSlice,
  drivenParts,
  EMPTY_SLICE,
  EntryRoom,
  encodeSlice,
  kindPart,
  matrixCounts,
  matrixPart,
  type OutcomeRow,
  overlapShare,
  PairedSlices,
  type PlacedSlice,
  partsOfTable,
  SLICE_COUNTS,
  sliceOf,
  sliceTotals,
  subtractSlice,
  sumCells,
  tabulateOutcomes,
  totalsByVehicle,
  withoutBands,
  withoutSpeed,
} from '../src/index.ts';

const band = fc.integer({ min: -1, max: 5 });
const cell: fc.Arbitrary<Cell> = fc.record({
  kind: fc.integer({ min: 0, max: 40 }),
  loadBand: band,
  temperatureBand: band,
  program: fc.integer({ min: 0, max: 3 }),
  speedBand: band,
});
/** One shift in a cell: each grade or not. */
const counted: fc.Arbitrary<CountedCell & { readonly cell: Cell }> = fc
  .tuple(cell, fc.array(fc.integer({ min: 0, max: 1 }), { minLength: 10, maxLength: 10 }))
  .map(([at, flags]) => ({
    cell: at,
    key: cellKey(at),
    counts: [1, ...flags],
  }));
const drive = fc.array(counted, { maxLength: 40 });
/** Few places, so that vehicles and revisions meet in them. */
const narrow: fc.Arbitrary<Cell> = fc.record({
  kind: fc.constant(2),
  loadBand: fc.integer({ min: -1, max: 1 }),
  temperatureBand: fc.integer({ min: 2, max: 3 }),
  program: fc.constant(1),
  speedBand: fc.integer({ min: 0, max: 1 }),
});
const outcome = fc.record({
  vehicle: fc.integer({ min: 0, max: 5 }),
  revision: fc.constantFrom('older' as const, 'newer' as const),
  at: narrow,
  shifts: fc.integer({ min: 1, max: 60 }),
  events: fc.integer({ min: 0, max: 10 }),
});
type Driven = { readonly vehicle: number; readonly cells: readonly CountedCell[] };
const share = { events: 'flare', trials: 'flareMeasured' } as const;
const everything = cellFilter({});

describe('the key of a cell', () => {
  it('gives the cell back', () => {
    fc.assert(
      fc.property(cell, (at) => {
        expect(cellOfKey(cellKey(at))).toEqual(at);
        const { kind, loadBand, temperatureBand } = at;
        expect(cellOfMatrixPart(matrixPart(cellKey(at)))).toEqual({ kind, loadBand });
        expect(cellOfCoveragePart(coveragePart(cellKey(at)))).toEqual({ kind, loadBand, temperatureBand });
      }),
    );
  });

  it('refuses what has no room, naming it', () => {
    const at = { kind: 1, loadBand: 0, temperatureBand: 0, program: 0, speedBand: 0 };
    expect(() => cellKey({ ...at, kind: 256 })).toThrow('shift kind 256');
    expect(() => cellKey({ ...at, program: 256 })).toThrow('program 256');
    expect(() => cellKey({ ...at, loadBand: -2 })).toThrow('load band -2');
  });
});

describe('a slice', () => {
  it('is the sum of its drives, in any order', () => {
    fc.assert(
      fc.property(drive, drive, (a, b) => {
        const whole = sliceOf([...a, ...b]);
        expect(addSlices(sliceOf(a), sliceOf(b))).toEqual(whole);
        expect(addSlices(sliceOf(b), sliceOf(a))).toEqual(whole);
      }),
    );
  });

  it('is as it was once a drive is taken out again', () => {
    fc.assert(
      fc.property(drive, drive, (a, b) => {
        expect(subtractSlice(sliceOf([...a, ...b]), sliceOf(b))).toEqual(sliceOf(a));
      }),
    );
    expect(subtractSlice(EMPTY_SLICE, EMPTY_SLICE)).toEqual(EMPTY_SLICE);
  });

  it('refuses to give back what it never had', () => {
    fc.assert(
      fc.property(counted, (one) => {
        expect(() => subtractSlice(EMPTY_SLICE, sliceOf([one]))).toThrow('would count -1 shifts');
      }),
    );
  });

  it('comes back from its bytes, wherever they lie in memory', () => {
    fc.assert(
      fc.property(drive, fc.integer({ min: 0, max: 7 }), (shifts, offset) => {
        const bytes = encodeSlice(sliceOf(shifts));
        const moved = new Uint8Array(bytes.length + offset);
        moved.set(bytes, offset);
        expect(decodeSlice(moved.subarray(offset))).toEqual(sliceOf(shifts));
      }),
    );
    expect(() => decodeSlice(new Uint8Array(50))).toThrow('50 bytes are no summary slice');
  });

  it('keeps its totals when speed bands are added together', () => {
    fc.assert(
      fc.property(drive, (shifts) => {
        const coarse = withoutSpeed(sliceOf(shifts));
        expect(coarse).toEqual(sliceOf(shifts.map((one) => ({ ...one, key: (one.key >>> 4) << 4 }))));
        expect(sliceTotals(coarse)).toEqual(sliceTotals(sliceOf(shifts)));
      }),
    );
  });

  it('is by shift kind and program when all bands are added together', () => {
    fc.assert(
      fc.property(drive, (shifts) => {
        const none = { loadBand: -1, temperatureBand: -1, speedBand: -1 };
        const placeless = shifts.map((one) => ({ ...one, key: cellKey({ ...one.cell, ...none }) }));
        expect(withoutBands(sliceOf(shifts))).toEqual(sliceOf(placeless));
      }),
    );
  });
});

describe('sums over slices', () => {
  const place = (shifts: readonly CountedCell[], i: number) => ({
    vehicleId: `car ${i % 3}`,
    revisionId: `revision ${Math.floor(i / 3)}`,
    slice: sliceOf(shifts),
  });

  it('count every shift once, by matrix cell and by vehicle', () => {
    fc.assert(
      fc.property(fc.array(drive, { minLength: 1, maxLength: 6 }), (drives) => {
        const slices = drives.map(place);
        const shifts = drives.flat();
        const matrix = matrixCounts(slices, { events: 'harsh', trials: 'shifts' }, everything);
        const total = (values: Float64Array) => values.reduce((sum, value) => sum + value, 0);
        const all = sumCells(matrix.cells);
        expect(total(all.trials)).toBe(shifts.length);
        expect(total(all.events)).toBe(shifts.reduce((sum, { counts }) => sum + counts[columnOf('harsh')], 0));
        const cellsDriven = new Set(shifts.map(({ cell: { kind, loadBand } }) => [kind, loadBand].join()));
        expect(matrix.parts.length).toBe(cellsDriven.size);
        const byVehicle = totalsByVehicle(slices, everything);
        expect([...byVehicle.values()].reduce((sum, [count]) => sum + count, 0)).toBe(shifts.length);
        const driven = drivenParts(slices, everything);
        expect(driven.reduce((sum, part) => sum + part.shifts, 0)).toBe(shifts.length);
      }),
    );
  });

  it('keep to the asked temperature band and program', () => {
    fc.assert(
      fc.property(drive, band, fc.integer({ min: 0, max: 3 }), (shifts, temperatureBand, program) => {
        const asked = shifts.filter(({ cell: at }) => at.temperatureBand === temperatureBand && at.program === program);
        const filter = cellFilter({ temperatureBand, program });
        const matrix = matrixCounts([place(shifts, 0)], { events: 'flare', trials: 'shifts' }, filter);
        const count = matrix.cells.reduce((sum, { trials }) => sum + trials[0], 0);
        expect(count).toBe(asked.length);
      }),
    );
  });

  it('count a vehicle once, however many revisions it drove', () => {
    const at = { kind: 34, loadBand: 2, temperatureBand: 3, program: 1, speedBand: 2 };
    const counts = SLICE_COUNTS.map(() => 1);
    const slice = sliceOf([{ key: cellKey(at), counts }]);
    const slices = ['a', 'b', 'a', 'b', 'c'].map((vehicleId, i) => ({ vehicleId, revisionId: `r${i}`, slice }));
    expect(drivenParts(slices, everything)).toEqual([expect.objectContaining({ shifts: 5, vehicles: 3 })]);
  });
});

describe('a comparison from slices', () => {
  it('has the parts that one of the same cells alone would be, and an overlap like theirs', () => {
    const side = fc.array(fc.record({ vehicle: fc.integer({ min: 0, max: 3 }), cells: drive }), { maxLength: 6 });
    fc.assert(
      fc.property(side, side, fc.integer({ min: 0, max: 40 }), (older, newer, kind) => {
        const placed = (drives: typeof older, accept: (key: number) => boolean) =>
          drives.map(({ vehicle, cells }) => ({
            vehicleId: `car ${vehicle}`,
            revisionId: 'r',
            slice: sliceOf(cells.filter(({ key }) => accept(key))),
          }));
        const isOf = (key: number) => kindPart(key) <= kind;
        const all = comparisonTable(
          placed(older, () => true),
          placed(newer, () => true),
          share,
        );
        const alone = comparisonTable(placed(older, isOf), placed(newer, isOf), share);
        const part = partsOfTable(all, (key) => (isOf(key) ? 1 : 0))(1);
        const sums = ({ vehicles, vehicleStart, olderShifts, newerEvents }: typeof all) =>
          vehicles.flatMap((vehicle, j) => {
            const of = (values: Uint32Array) =>
              values.subarray(vehicleStart[j], vehicleStart[j + 1]).reduce((sum, value) => sum + value, 0);
            return of(olderShifts) + of(newerEvents) > 0 ? [[vehicle, of(olderShifts), of(newerEvents)]] : [];
          });
        expect(sums(part)).toEqual(sums(alone));
        expect(overlapShare(part)).toEqual(overlapShare(alone));
        expect(compareOutcomes(part).overlapShare).toEqual(overlapShare(part));
      }),
    );
  });

  it('says the same in memory that was used before, whatever was there', () => {
    const fleet = fc.array(fc.record({ vehicle: fc.integer({ min: 0, max: 3 }), cells: drive }), { maxLength: 5 });
    const placed = (drives: readonly Driven[]): PlacedSlice[] =>
      drives.map(({ vehicle, cells }) => ({
        vehicleId: `car ${vehicle}`,
        revisionId: 'r',
        slice: withoutSpeed(sliceOf(cells)),
      }));
    fc.assert(
      fc.property(fc.array(fc.tuple(fleet, fleet), { minLength: 2, maxLength: 5 }), (pairs) => {
        const [reused, room] = [new PairedSlices(), new EntryRoom()];
        for (const [older, newer] of pairs) {
          const fresh = new PairedSlices();
          for (const paired of [reused, fresh]) paired.pair(placed(older), placed(newer));
          expect(reused.keyOf).toEqual(fresh.keyOf);
          expect(reused.totals('harsh')).toEqual(fresh.totals('harsh'));
          const kinds = [...new Set(fresh.keyOf.map(kindPart)), 255];
          const seenIn = (paired: PairedSlices, partRoom: EntryRoom) =>
            paired.withTable(share, (table) => {
              const partOf = partsOfTable(table, kindPart, partRoom);
              return structuredClone([table, ...kinds.map(partOf)]);
            });
          expect(seenIn(reused, room)).toEqual(seenIn(fresh, new EntryRoom()));
        }
      }),
      { numRuns: 30 },
    );
  });

  it('says the same as one from rows', () => {
    fc.assert(
      fc.property(fc.array(outcome, { maxLength: 60 }), (outcomes) => {
        const rows = outcomes.map(({ vehicle, revision, at, shifts, events }): OutcomeRow => {
          const { speedBand: _, ...stratum } = at;
          const name = JSON.stringify(stratum);
          return {
            vehicle: `car ${vehicle}`,
            revision,
            stratum: at.loadBand < 0 ? `${revision} ${name}` : name,
            shifts,
            events: Math.min(events, shifts),
          };
        });
        const slicesOf = (revision: 'older' | 'newer') =>
          [0, 1, 2, 3, 4, 5].map((vehicle) => ({
            vehicleId: `car ${vehicle}`,
            revisionId: revision,
            slice: sliceOf(
              outcomes
                .filter((one) => one.vehicle === vehicle && one.revision === revision)
                .map(({ at, shifts, events }) => ({
                  key: cellKey(at),
                  counts: SLICE_COUNTS.map((name) => (name === 'flare' ? Math.min(events, shifts) : shifts)),
                })),
            ),
          }));
        const fromSlices = compareOutcomes(comparisonTable(slicesOf('older'), slicesOf('newer'), share));
        const fromRows = compareOutcomes(tabulateOutcomes(rows));
        expect(flatten(fromSlices)).toEqual(flatten(fromRows));
      }),
    );
  });
});

/** The figures of a comparison, rounded: sums in another order differ in the last digits. */
function flatten(value: unknown, path = ''): [string, unknown][] {
  if (typeof value !== 'object' || value === null) {
    return [[path, typeof value === 'number' && Number.isFinite(value) ? Number(value.toPrecision(8)) + 0 : value]];
  }
  return Object.entries(value).flatMap(([key, inner]) => flatten(inner, `${path}.${key}`));
}
