import { join } from 'node:path';
import type { Grade } from '@syncline/shifts';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { NewShift, OutcomeCounts } from '../../src/index.js';
import {
  aClub,
  aContent,
  aLog,
  aNewShift,
  analyse,
  aProfile,
  aRevision,
  aShift,
  PLATFORM,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const grades = fc.oneof(
  fc.constant<Grade[]>(['clean']),
  fc.uniqueArray(fc.constantFrom<Grade>('flare', 'tie-up', 'harsh', 'slow', 'incomplete'), { minLength: 1 }),
);
const band = fc.integer({ min: -1, max: 2 });
/** A shift of a log that could tell nothing of it. */
function unmeasured(kind: string) {
  const shift = aShift({ kind });
  const measures = { ...shift.measures, tieUpDepth: null, peakJerk: null, inertiaTimeS: null };
  return { ...shift, inertiaStartS: null, measures };
}

const anyShift: fc.Arbitrary<NewShift> = fc
  .record({
    kind: fc.constantFrom('1-2', '2-1'),
    program: fc.constantFrom('calm', null),
    load: band,
    temperature: band,
    grades,
    isMeasured: fc.boolean(),
  })
  .map(({ kind, program, load, temperature, grades: given, isMeasured }) =>
    aNewShift({
      shift: isMeasured ? aShift({ kind }) : unmeasured(kind),
      program,
      bands: { load, speed: 0, temperature },
      grades: given,
    }),
  );
/** What happens to one of the logs: all its shifts are replaced, perhaps by none. */
const anyStep = fc.record({ log: fc.integer({ min: 0, max: 3 }), shifts: fc.array(anyShift, { maxLength: 5 }) });

/** Four logs: two of one car under one revision, one of it under another, one of another car under none. */
function aFleet() {
  const test = openTestStore();
  const { store } = test;
  const { maintainer, calibrationId, revisionId } = aClub(store);
  const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(2) });
  const [a, b] = ['A', 'B'].map((title) =>
    store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile({ title }) }),
  );
  const logs = [
    { id: aLog(store, { vehicleId: a, seed: 0, revisionId }), vehicleId: a, revisionId },
    { id: aLog(store, { vehicleId: a, seed: 1, revisionId }), vehicleId: a, revisionId },
    { id: aLog(store, { vehicleId: a, seed: 2, revisionId: second }), vehicleId: a, revisionId: second },
    { id: aLog(store, { vehicleId: b, seed: 3 }), vehicleId: b, revisionId: null },
  ];
  // The queue is emptied, so that each step below finds only its own job.
  for (const _ of logs) {
    const claimed = store.jobs.claim({ leaseOwner: 'first', leaseMs: 1000 });
    if (claimed) store.jobs.complete(claimed.lease);
  }
  return { ...test, logs, vehicles: [a, b], revisions: [revisionId, second] };
}

function countOf(shifts: readonly NewShift[]): OutcomeCounts {
  const having = (grade: Grade) => shifts.filter((shift) => shift.grades.includes(grade)).length;
  const known = (measure: 'tieUpDepth' | 'peakJerk' | 'inertiaTimeS') =>
    shifts.filter(({ shift }) => shift.measures[measure] !== null).length;
  return {
    shifts: shifts.length,
    flare: having('flare'),
    tieUp: having('tie-up'),
    harsh: having('harsh'),
    slow: having('slow'),
    incomplete: having('incomplete'),
    clean: having('clean'),
    flareMeasured: shifts.filter(({ shift, grades: given }) => shift.inertiaStartS !== null || given.includes('flare'))
      .length,
    tieUpMeasured: known('tieUpDepth'),
    harshMeasured: known('peakJerk'),
    slowMeasured: known('inertiaTimeS'),
  };
}

describe('outcome summaries', () => {
  it('equal a recount of the shifts after any replacing and removing', () => {
    const { store, logs, vehicles, revisions } = aFleet();
    const held: NewShift[][] = [[], [], [], []];
    fc.assert(
      fc.property(anyStep, ({ log, shifts }) => {
        analyse(store, logs[log].id, shifts);
        held[log] = shifts;
        expect(store.fleet.verifySummaries()).toEqual([]);
        const all = held.flat();
        const flat = (rows: readonly OutcomeCounts[]) => rows.reduce((sum, row) => sum + row.shifts, 0);
        expect(flat(store.read.fleet.matrix({ platformId: PLATFORM.id }))).toBe(all.length);
        for (const [v, vehicleId] of vehicles.entries()) {
          const own = held.filter((_, i) => logs[i].vehicleId === vehicles[v]).flat();
          expect(store.read.vehicles.find({}, vehicleId)?.counts).toEqual(countOf(own));
        }
        for (const revisionId of revisions) {
          const under = held.filter((_, i) => logs[i].revisionId === revisionId).flat();
          const rows = store.read.fleet.byRevision([revisionId]);
          expect(rows.map(({ revisionId: _r, vehicleId: _v, ...counts }) => counts)).toEqual(
            under.length === 0 ? [] : [countOf(under)],
          );
        }
      }),
      { numRuns: 60 },
    );
  });

  it('are checked against the shifts: a wrong, a surplus and a lost row are named and mended', () => {
    const { store, folder, logs } = aFleet();
    analyse(store, logs[0].id, [aNewShift(), aNewShift({ shift: aShift({ kind: '2-1' }), grades: ['flare'] })]);
    const sqlite = new Database(join(folder, 'syncline.db'));
    sqlite.exec(`
      UPDATE outcome_counts SET flare = flare + 1 WHERE kind = '1-2';
      DELETE FROM outcome_counts WHERE kind = '2-1';
      INSERT INTO outcome_counts SELECT platform_id, revision_id, '6-5', load_band, fluid_temperature_band, program,
        speed_band, vehicle_id, 3, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0 FROM outcome_counts`);
    sqlite.close();
    const differences = store.fleet.recomputeSummaries();
    expect(
      differences.map(({ kept, counted }) => [kept?.shifts, kept?.flare, counted?.shifts, counted?.flare]),
    ).toEqual([
      [1, 1, 1, 0],
      [undefined, undefined, 1, 1],
      [3, 0, undefined, undefined],
    ]);
    expect(differences[2].key).toContain('6-5');
    expect(store.fleet.verifySummaries()).toEqual([]);
  });
});

describe('fleet reads', () => {
  const at = (load: number, temperature: number) => ({ load, speed: 0, temperature });

  it('count by kind and load band for each car, within the filter', () => {
    const { store, logs, vehicles, revisions } = aFleet();
    analyse(store, logs[0].id, [
      aNewShift({ bands: at(1, 0), grades: ['flare'] }),
      aNewShift({ bands: at(1, 1), grades: ['tie-up'] }),
      aNewShift({ bands: at(2, 0), program: null }),
    ]);
    analyse(store, logs[3].id, [aNewShift({ bands: at(1, 0) })]);
    const cells = (filter: object) =>
      store.read.fleet
        .matrix({ platformId: PLATFORM.id, ...filter })
        .map(({ loadBand, vehicleId, shifts, flare, tieUp }) => [
          loadBand,
          vehicles.indexOf(vehicleId),
          shifts,
          flare,
          tieUp,
        ])
        .sort((a, b) => a[0] - b[0] || a[1] - b[1]);
    expect(cells({})).toEqual([
      [1, 0, 2, 1, 1],
      [1, 1, 1, 0, 0],
      [2, 0, 1, 0, 0],
    ]);
    expect(cells({ fluidTemperatureBand: 1 })).toEqual([[1, 0, 1, 0, 1]]);
    expect(cells({ revisionId: revisions[0], program: 'calm' })).toEqual([[1, 0, 2, 1, 1]]);
    expect(cells({ platformId: 'other' })).toEqual([]);
  });

  it('show the trend revision by revision, and leave shifts without one out', () => {
    const { store, logs, vehicles, revisions } = aFleet();
    analyse(store, logs[0].id, [aNewShift({ grades: ['flare'] })]);
    analyse(store, logs[2].id, [aNewShift(), aNewShift()]);
    analyse(store, logs[3].id, [aNewShift()]);
    const points = store.read.fleet.trend(PLATFORM.id);
    expect(points.map(({ revisionId, number, byVehicle }) => [revisionId, number, byVehicle])).toEqual([
      [revisions[0], 1, [{ vehicleId: vehicles[0], ...countOf([aNewShift({ grades: ['flare'] })]) }]],
      [revisions[1], 2, [{ vehicleId: vehicles[0], ...countOf([aNewShift(), aNewShift()]) }]],
    ]);
  });

  it('count shifts and cars where they were driven', () => {
    const { store, logs } = aFleet();
    analyse(store, logs[0].id, [aNewShift({ bands: at(1, 0) }), aNewShift({ bands: at(1, 0), program: null })]);
    analyse(store, logs[3].id, [aNewShift({ bands: at(1, 0) }), aNewShift({ bands: at(-1, 0) })]);
    expect(store.read.fleet.coverage({ platformId: PLATFORM.id })).toEqual([
      { kind: '1-2', loadBand: -1, fluidTemperatureBand: 0, shifts: 1, vehicles: 1 },
      { kind: '1-2', loadBand: 1, fluidTemperatureBand: 0, shifts: 3, vehicles: 2 },
    ]);
  });

  it('give strata that keep revision, car, kind, bands and program apart', () => {
    const { store, logs, vehicles, revisions } = aFleet();
    analyse(store, logs[0].id, [aNewShift({ bands: at(1, 0) }), aNewShift({ bands: at(1, 0), program: null })]);
    analyse(store, logs[1].id, [aNewShift({ bands: at(1, 0), grades: ['slow'] })]);
    analyse(store, logs[2].id, [aNewShift({ bands: at(1, 2) })]);
    const strata = store.read.fleet.strata(revisions);
    expect(strata).toHaveLength(3);
    expect(strata).toContainEqual({
      revisionId: revisions[0],
      vehicleId: vehicles[0],
      kind: '1-2',
      loadBand: 1,
      fluidTemperatureBand: 0,
      program: 'calm',
      ...countOf([aNewShift(), aNewShift({ grades: ['slow'] })]),
    });
    expect(strata.map(({ program }) => program)).toContain(null);
  });

  it('name only the cars in scope', () => {
    const { store, logs, vehicles } = aFleet();
    analyse(store, logs[0].id, [aNewShift()]);
    analyse(store, logs[3].id, [aNewShift()]);
    const filter = { platformId: PLATFORM.id };
    expect(store.read.fleet.byVehicle({}, filter).map(({ vehicleId, title }) => [vehicleId, title])).toEqual([
      [vehicles[0], 'A'],
      [vehicles[1], 'B'],
    ]);
    expect(store.read.fleet.byVehicle({ ownerId: 'someone else' }, filter)).toEqual([]);
    expect(store.read.fleet.byKind({ ...filter, vehicleId: vehicles[1] })).toMatchObject([
      { kind: '1-2', vehicleId: vehicles[1], shifts: 1 },
    ]);
  });

  it('sum the fleet up', () => {
    const { store, logs } = aFleet();
    analyse(store, logs[0].id, [aNewShift(), aNewShift()]);
    const expected = { vehicles: 2, logs: 4, shifts: 2, drivenS: 50, waitingLogs: 3 };
    expect(store.read.fleet.overview({})).toEqual(expected);
    expect(store.read.fleet.overview({ platformId: PLATFORM.id })).toEqual(expected);
    expect(store.read.fleet.overview({ platformId: 'other' })).toEqual({
      vehicles: 0,
      logs: 0,
      shifts: 0,
      drivenS: 0,
      waitingLogs: 0,
    });
  });
});
