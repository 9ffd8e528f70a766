import { join } from 'node:path';
import { bandsOf, DEFAULT_FLEET_BANDS } from '@syncline/fleet';
import type { Grade } from '@syncline/shifts';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { connectForReading } from '../../src/database/connect.js';
import { queryBuilder } from '../../src/database/context.js';
import { summaryReader } from '../../src/fleet/summary-reader.js';
import type { FacetValue, ShiftFilter, Store, StoredShift } from '../../src/index.js';
import { shiftFacets } from '../../src/shifts/shift-counts.js';
import { binsOf, shiftDistribution } from '../../src/shifts/shift-distribution.js';
import {
  aClub,
  aContent,
  aLog,
  aNewShift,
  aProfile,
  aResult,
  aRevision,
  aShift,
  aTester,
  claimFor,
  PLATFORM,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const LOGS = 12;

/** Shifts of two cars of two owners under two revisions or none, of every kind, grade and program. */
function aFleet() {
  const { store, folder } = openTestStore();
  const { maintainer, calibrationId, revisionId } = aClub(store);
  const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(2) });
  const thrift = aTester(store, 'Thrift');
  const [a, b] = [maintainer.id, thrift].map((ownerId, i) =>
    store.vehicles.create({ actor: SYSTEM, ownerId, profile: aProfile({ title: `Car ${i}`, engine: `${i + 2}.0` }) }),
  );
  const grades: Grade[][] = [['clean'], ['flare'], ['flare', 'harsh'], ['tie-up']];
  for (let seed = 0; seed < LOGS; seed++) {
    const vehicleId = seed % 3 === 0 ? b : a;
    const logId = aLog(store, { vehicleId, seed, revisionId: [revisionId, second, undefined][seed % 3] });
    const shifts = Array.from({ length: 3 + (seed % 4) }, (_, i) => {
      const plain = aShift({ kind: (seed + i) % 2 === 0 ? '1-2' : '2-1' });
      const at = { ...plain.at, load: i === 2 ? null : 10 * ((seed + i) % 6), fluidTemperatureC: 20 + 7 * i };
      return aNewShift({
        bands: bandsOf(at, DEFAULT_FLEET_BANDS),
        shift: {
          ...plain,
          at,
          measures: { ...plain.measures, tieUpDepth: i === 1 ? null : 0.1 * (seed % 7), flareRpm: 13 * i },
        },
        program: [null, 'calm', 'brisk'][(seed + i) % 3],
        grades: grades[(seed * 3 + i) % 4],
      });
    });
    store.logs.replaceAnalysis(aResult({ lease: claimFor(store, logId), logId, shifts }));
  }
  return { store, folder, revisions: [revisionId, second], vehicles: [a, b], thrift };
}

const all = (store: Store, scope: object, filter: ShiftFilter): readonly StoredShift[] => {
  const page = store.read.shifts.list(scope, { ...filter, sort: 'newest' }, { limit: 200 });
  expect(page.totalCount).toBe(page.items.length);
  return page.items;
};

/** By counting the list without the one filter. */
function countedFrom(
  store: Store,
  scope: object,
  filter: ShiftFilter,
  name: 'kind' | 'grade' | 'program' | 'revisionId' | 'vehicleId',
): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const row of all(store, scope, { ...filter, [name]: undefined })) {
    const values = {
      kind: [row.shift.kind],
      grade: row.grades,
      program: [row.program],
      revisionId: [row.revision?.id ?? null],
      vehicleId: [row.vehicleId],
    }[name];
    for (const value of values) if (value !== null) counts[value] = (counts[value] ?? 0) + 1;
  }
  return counts;
}

const asCounts = (facet: readonly FacetValue[]) =>
  Object.fromEntries(facet.map(({ value, shifts }) => [value, shifts]));

describe('facets', () => {
  it('count what each value would leave with the other filters, whether the summaries can tell or not', () => {
    const { store, revisions, vehicles, thrift } = aFleet();
    const anyFilter = fc.record(
      {
        platformId: fc.constant(PLATFORM.id),
        revisionId: fc.constantFrom(...revisions),
        vehicleId: fc.constantFrom(...vehicles),
        kind: fc.constantFrom('1-2', '2-1'),
        grade: fc.constantFrom<Grade>('flare', 'harsh', 'clean'),
        program: fc.constantFrom('calm', 'brisk', 'unheard'),
        dialect: fc.constantFrom('north', 'south'),
        engine: fc.constantFrom('2.0', '3.0'),
        loadMin: fc.constantFrom(10, 15, 20, 30),
        loadMax: fc.constantFrom(30, 45, 50),
        fluidTemperatureMin: fc.constantFrom(20, 25),
        fluidTemperatureMax: fc.constantFrom(30, 41, 50),
      },
      { requiredKeys: [] },
    );
    fc.assert(
      fc.property(anyFilter, fc.constantFrom({}, { ownerId: thrift }), (filter, scope) => {
        const facets = store.read.shifts.facets(scope, filter);
        expect(facets.everyNthDrive).toBe(1);
        expect(facets.totalCount).toBe(all(store, scope, filter).length);
        expect(asCounts(facets.kinds)).toEqual(countedFrom(store, scope, filter, 'kind'));
        expect(asCounts(facets.grades)).toEqual(countedFrom(store, scope, filter, 'grade'));
        expect(asCounts(facets.programs)).toEqual(countedFrom(store, scope, filter, 'program'));
        expect(asCounts(facets.revisions)).toEqual(countedFrom(store, scope, filter, 'revisionId'));
        expect(asCounts(facets.vehicles)).toEqual(countedFrom(store, scope, filter, 'vehicleId'));
      }),
      { numRuns: 150 },
    );
  });

  it('call things by their names, and name no car out of scope', () => {
    const { store, thrift, vehicles } = aFleet();
    const facets = store.read.shifts.facets({ ownerId: thrift }, {});
    expect(facets.vehicles.map(({ value, label }) => [value, label])).toEqual([[vehicles[1], 'Car 1']]);
    expect(facets.revisions.map(({ label }) => label)).toEqual(['Touring r1']);
  });

  it('are of every n-th drive, and say so, where shifts are too many to go through', () => {
    const { store, folder } = aFleet();
    const sqlite = connectForReading(join(folder, 'syncline.db'));
    const db = queryBuilder(sqlite);
    const filter = { platformId: PLATFORM.id, loadMin: 0 };
    const total = store.read.shifts.facets({}, { platformId: PLATFORM.id }).totalCount;
    const facets = shiftFacets(db, summaryReader(db), {}, filter, Math.ceil(total / 3));
    const ofThird = all(store, {}, filter).filter(({ logId }) => {
      const at = sqlite.prepare('SELECT rowid FROM logs WHERE id = ?').pluck().get(logId) as number;
      return at % 3 === 0;
    });
    expect(facets.everyNthDrive).toBe(3);
    expect(facets.totalCount).toBe(3 * ofThird.length);
    expect(ofThird.length).toBeGreaterThan(0);
    const spread = shiftDistribution(
      db,
      summaryReader(db),
      {},
      { ...filter, quantity: 'flareRpm' },
      Math.ceil(total / 3),
    );
    expect([spread.everyNthDrive, spread.measuredCount]).toEqual([3, 3 * ofThird.length]);
    sqlite.close();
  });
});

describe('a distribution', () => {
  it('counts every shift that matches, the unmeasured apart', () => {
    const { store, thrift } = aFleet();
    for (const scope of [{}, { ownerId: thrift }]) {
      for (const filter of [{}, { kind: '1-2' }, { loadMin: 20 }]) {
        const rows = all(store, scope, filter).map(({ shift }) => shift.measures.tieUpDepth);
        const found = store.read.shifts.distribution(scope, { ...filter, quantity: 'tieUpDepth' });
        const values = rows.filter((value) => value !== null).sort((a, b) => a - b);
        expect([found.measuredCount, found.unmeasuredCount]).toEqual([values.length, rows.length - values.length]);
        expect(found.counts.reduce((sum, n) => sum + n, 0)).toBe(values.length);
        expect(found.p50).toBe(values[Math.floor((values.length - 1) / 2)]);
      }
    }
    const none = store.read.shifts.distribution({}, { kind: '6-5', quantity: 'load' });
    expect(none).toMatchObject({ edges: [0, 1], counts: [0], measuredCount: 0, p50: null });
  });

  it('has bins of one round width that hold each value once', () => {
    const anyValues = fc.array(fc.double({ min: -1e4, max: 1e4, noNaN: true }), { minLength: 1, maxLength: 80 });
    fc.assert(
      fc.property(anyValues, (list) => {
        const values = Float64Array.from(list).sort();
        const { edges, counts } = binsOf(values);
        expect(counts.length).toBeLessThanOrEqual(121);
        expect(edges).toHaveLength(counts.length + 1);
        expect(counts.reduce((sum, n) => sum + n, 0)).toBe(values.length);
        const slack = 1e-9 * Math.max(1, Math.abs(edges[0]), Math.abs(edges[edges.length - 1]));
        expect(values[0]).toBeGreaterThanOrEqual(edges[0] - slack);
        expect(values[values.length - 1]).toBeLessThanOrEqual(edges[edges.length - 1] + slack);
      }),
    );
    expect(binsOf(Float64Array.from([0.3, 0.31, 0.7])).edges.slice(0, 3)).toEqual([0.3, 0.305, 0.31]);
  });
});
