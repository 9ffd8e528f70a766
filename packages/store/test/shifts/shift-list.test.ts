import type { Grade } from '@syncline/shifts';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ShiftFilter, ShiftSort, Store, StoredShift } from '../../src/index.js';
import { aClub, aLog, aNewShift, analyse, aProfile, aShift, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

interface Spec {
  readonly kind: string;
  readonly grade: Grade;
  readonly load: number | null;
  readonly inputSpeedRpm: number;
  readonly tieUpDepth: number | null;
  readonly peakJerk: number | null;
  readonly flareRpm: number;
}

const anySpec: fc.Arbitrary<Spec> = fc.record({
  kind: fc.constantFrom('1-2', '2-1'),
  grade: fc.constantFrom<Grade>('clean', 'flare', 'tie-up'),
  load: fc.option(fc.integer({ min: 0, max: 4 })),
  inputSpeedRpm: fc.integer({ min: 0, max: 4 }),
  // Few values, so that many rows share one and the id must decide.
  tieUpDepth: fc.option(fc.constantFrom(0.1, 0.2, 1 / 3)),
  peakJerk: fc.option(fc.integer({ min: 0, max: 2 })),
  flareRpm: fc.integer({ min: 0, max: 2 }),
});

function toNewShift(spec: Spec) {
  const plain = aShift();
  const { tieUpDepth, peakJerk, flareRpm } = spec;
  return aNewShift({
    grades: [spec.grade],
    shift: aShift({
      kind: spec.kind,
      at: { ...plain.at, load: spec.load, inputSpeedRpm: spec.inputSpeedRpm },
      measures: { ...plain.measures, tieUpDepth, peakJerk, flareRpm, inertiaTimeS: tieUpDepth },
    }),
  });
}

function walk(store: Store, query: ShiftFilter & { sort: ShiftSort }, limit: number): StoredShift[] {
  const all: StoredShift[] = [];
  let totalCount = 0;
  for (let cursor: string | undefined; ; ) {
    const page = store.read.shifts.list({}, query, { cursor, limit });
    expect(page.items.length).toBeLessThanOrEqual(limit);
    all.push(...page.items);
    totalCount = page.totalCount;
    if (page.nextCursor === null) break;
    cursor = page.nextCursor;
  }
  expect(all).toHaveLength(totalCount);
  return all;
}

const SORT_VALUES: Record<ShiftSort, (shift: StoredShift) => number | null> = {
  newest: (shift) => shift.drivenAtMs,
  flareRpm: (shift) => shift.shift.measures.flareRpm,
  tieUpDepth: (shift) => shift.shift.measures.tieUpDepth,
  peakJerk: (shift) => shift.shift.measures.peakJerk,
  inertiaTimeS: (shift) => shift.shift.measures.inertiaTimeS,
};

describe('the list of shifts', () => {
  it('is walked through page by page without gaps or repeats, in falling order with missing values last', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const logs = [0, 1].map((seed) => aLog(store, { vehicleId, seed, drivenAtMs: START_MS + seed }));
    for (const _ of logs) {
      const claimed = store.jobs.claim({ leaseOwner: 'first', leaseMs: 1000 });
      if (claimed) store.jobs.complete(claimed.lease);
    }
    const anySort = fc.constantFrom<ShiftSort>('newest', 'flareRpm', 'tieUpDepth', 'peakJerk', 'inertiaTimeS');
    const anyFilter = fc.record(
      {
        kind: fc.constant('1-2'),
        grade: fc.constant<Grade>('flare'),
        loadMin: fc.constant(1),
        loadMax: fc.constant(3),
        inputSpeedMin: fc.constant(1),
      },
      { requiredKeys: [] },
    );
    fc.assert(
      fc.property(
        fc.array(anySpec, { maxLength: 12 }),
        fc.array(anySpec, { maxLength: 4 }),
        anySort,
        anyFilter,
        fc.integer({ min: 1, max: 5 }),
        (first, second, sort, filter, limit) => {
          analyse(store, logs[0], first.map(toNewShift));
          analyse(store, logs[1], second.map(toNewShift));
          const listed = walk(store, { sort, ...filter }, limit);
          const matches = (spec: Spec) =>
            (filter.kind === undefined || spec.kind === filter.kind) &&
            (filter.grade === undefined || spec.grade === filter.grade) &&
            (filter.loadMin === undefined || (spec.load !== null && spec.load >= filter.loadMin)) &&
            (filter.loadMax === undefined || (spec.load !== null && spec.load < filter.loadMax)) &&
            (filter.inputSpeedMin === undefined || spec.inputSpeedRpm >= filter.inputSpeedMin);
          const idsOf = (specs: Spec[], logId: string) =>
            specs.flatMap((spec, i) => (matches(spec) ? [`${logId}-${String(i + 1).padStart(5, '0')}`] : []));
          const expected = [...idsOf(first, logs[0]), ...idsOf(second, logs[1])];
          expect(listed.map((shift) => shift.id).sort()).toEqual(expected.sort());
          const keys = listed.map((shift) => [SORT_VALUES[sort](shift) ?? Number.NEGATIVE_INFINITY, shift.id] as const);
          expect(keys).toEqual(keys.toSorted((a, b) => b[0] - a[0] || (a[1] < b[1] ? 1 : -1)));
        },
      ),
      { numRuns: 60 },
    );
  });

  it.each(['nonsense', '', Buffer.from('{"a":1}').toString('base64url'), Buffer.from('[[],1]').toString('base64url')])(
    'refuses the cursor %j',
    (cursor) => {
      const { store } = openTestStore();
      expect(() => store.read.shifts.list({}, { sort: 'newest' }, { cursor, limit: 5 })).toThrow(
        expect.objectContaining({ code: 'bad_cursor' }),
      );
    },
  );

  it('gives the evidence of a revision: where its shifts happened and which of them flared or bound', () => {
    const { store } = openTestStore();
    const { maintainer, revisionId } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const logId = aLog(store, { vehicleId, seed: 1, revisionId });
    analyse(store, logId, [
      aNewShift({ grades: ['flare', 'harsh'] }),
      aNewShift({ grades: ['tie-up'], program: null }),
      aNewShift({ shift: aShift({ kind: '2-1' }) }),
    ]);
    const rows = store.read.shifts.evidence({ revisionId, kinds: ['1-2'] });
    expect(rows).toEqual([
      expect.objectContaining({ vehicleId, kind: '1-2', load: 42.5, isFlare: true, isTieUp: false }),
      expect.objectContaining({ program: null, inputSpeedRpm: 2380, isFlare: false, isTieUp: true }),
    ]);
    expect(store.read.shifts.evidence({ revisionId, program: 'calm' })).toHaveLength(2);
    expect(store.read.shifts.evidence({ revisionId: 'other' })).toEqual([]);
  });
});
