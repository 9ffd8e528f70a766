import { join } from 'node:path';
import {
  cellOfCoveragePart,
  cellOfKey,
  distributions,
  SLICE_COUNTS,
  SLICE_MEASURES,
  sketchCount,
  sketchOf,
  sketchQuantile,
} from '@syncline/fleet';
import type { Grade } from '@syncline/shifts';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { NewShift, Store } from '../../src/index.js';
import { aNewShift, analyse, aResult, aShift, PLATFORM, SYSTEM } from '../support/builders.js';
import { aFleet } from '../support/fleet.js';

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

function measured(kind: string, size: number) {
  const shift = aShift({ kind });
  const { flareRpm, peakJerk } = { flareRpm: 3.7 * size, peakJerk: 0.9 * size + 0.013 };
  return { ...shift, measures: { ...shift.measures, flareRpm, peakJerk, slipEnergyJ: 777.7 * size } };
}

const anyShift: fc.Arbitrary<NewShift> = fc
  .record({
    kind: fc.constantFrom('1-2', '2-1'),
    program: fc.constantFrom('calm', 'brisk', null),
    load: band,
    speed: band,
    temperature: band,
    grades,
    isMeasured: fc.boolean(),
    size: fc.integer({ min: 0, max: 60 }),
  })
  .map(({ kind, program, load, speed, temperature, grades: given, isMeasured, size }) =>
    aNewShift({
      shift: isMeasured ? measured(kind, size) : unmeasured(kind),
      program,
      bands: { load, speed, temperature },
      grades: given,
    }),
  );
const anyLog = fc.integer({ min: 0, max: 3 });
const someShifts = fc.array(anyShift, { maxLength: 5 });
/** What can happen to shifts: those of a log are replaced, perhaps by none; a run replaces all; a log is moved. */
const anyStep = fc.oneof(
  { weight: 6, arbitrary: fc.record({ what: fc.constant('analyse' as const), log: anyLog, shifts: someShifts }) },
  { weight: 1, arbitrary: fc.record({ what: fc.constant('switch' as const), shifts: someShifts }) },
  {
    weight: 2,
    arbitrary: fc.record({ what: fc.constant('install' as const), revision: fc.integer({ min: 0, max: 1 }) }),
  },
);

/** Every log of the platform is read again by a run that finds these shifts in each, and is switched to. */
function switchOver(store: Store, shifts: readonly NewShift[]): void {
  const { runId } = store.analysisRuns.begin({
    actor: SYSTEM,
    platformId: PLATFORM.id,
    reason: 'asked',
    analysisVersion: 2,
    policyVersion: 1,
    jobFor: (id, { logId }) => ({ kind: 'rereadLog', inputKey: `${id}/${logId}`, runId: id, isBackground: true }),
  });
  for (let claimed = claim(store); claimed; claimed = claim(store)) {
    const logId = claimed.job.inputKey.split('/')[1];
    const result = aResult({ lease: claimed.lease, logId });
    const { lease, logId: _log, analysisVersion, policyVersion, shifts: _none, ...found } = result;
    const versions = { analysisVersion, policyVersion };
    store.analysisRuns.keep({
      lease,
      runId,
      logId,
      outcome: 'analysed',
      problem: null,
      found: { ...found, lockUps: [] },
      shifts,
      changes: {},
      ...versions,
    });
  }
  store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: null });
}

const claim = (store: Store) => store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });

type Row = Record<string, string | number | null>;

/** The shifts as they lie in the database, read past the store. */
function shiftRows(folder: string): Row[] {
  const sqlite = new Database(join(folder, 'syncline.db'), { readonly: true });
  const rows = sqlite.prepare<[], Row>('SELECT * FROM shifts').all();
  sqlite.close();
  return rows;
}

const BITS = { clean: 1, flare: 2, tieUp: 4, harsh: 8, slow: 16, incomplete: 32 };

/** What the log could tell of a shift, and its grades, one by one. */
function countsOfRow(row: Row): Record<string, number> {
  const has = (bit: number) => (Math.floor(Number(row.grades) / bit) % 2 === 1 ? 1 : 0);
  const known = (column: string) => (row[column] === null ? 0 : 1);
  const counts = Object.fromEntries(Object.entries(BITS).map(([name, bit]) => [name, has(bit)]));
  return {
    ...counts,
    shifts: 1,
    flareMeasured: Math.max(known('inertia_start_s'), counts.flare),
    tieUpMeasured: known('tie_up_depth'),
    harshMeasured: known('peak_jerk'),
    slowMeasured: known('inertia_time_s'),
  };
}

/** Counts by car, revision, kind, bands and program, one text for each cell. */
function recount(rows: readonly Row[]): Map<string, number[]> {
  const cells = new Map<string, number[]>();
  for (const row of rows) {
    const { vehicle_id, revision_id, kind, load_band, fluid_temperature_band, program } = row;
    const key = [vehicle_id, revision_id ?? '', kind, load_band, fluid_temperature_band, program].join('|');
    const counts = countsOfRow(row);
    cells.set(
      key,
      SLICE_COUNTS.map((name, i) => counts[name] + (cells.get(key)?.[i] ?? 0)),
    );
  }
  return cells;
}

/** The same from the summaries. */
function keptCells(store: Store): Map<string, number[]> {
  const { slices, names } = store.read.fleet.slices({ platformId: PLATFORM.id });
  return new Map(
    slices.flatMap(({ vehicleId, revisionId, slice: { keys, counts } }) =>
      [...keys].map((cell, i) => {
        const { kind, loadBand, temperatureBand, program } = cellOfKey(cell);
        const place = [names.kinds[kind], loadBand, temperatureBand, names.programs[program]];
        const key = [vehicleId, revisionId, ...place].join('|');
        return [key, SLICE_COUNTS.map((_, c) => counts[c * keys.length + i])] as const;
      }),
    ),
  );
}

const COLUMN_OF = { flareRpm: 'flare_rpm', peakJerk: 'peak_jerk', slipEnergyJ: 'slip_energy_j' } as const;

/** Count, mean and median of a measure by load band, from the summaries beside those of the rows. */
function expectMeasures(store: Store, rows: readonly Row[]): void {
  for (const [measure, column] of Object.entries(COLUMN_OF)) {
    const { slices } = store.read.fleet.measures({ platformId: PLATFORM.id });
    const { id, step } = SLICE_MEASURES.find((one) => one.id === measure) ?? SLICE_MEASURES[0];
    const groupsOf = (place: number) => [cellOfCoveragePart(place).loadBand + 1];
    const found = distributions(slices(), { measure: id, groupsOf });
    for (const loadBand of [-1, 0, 1, 2]) {
      const values = rows
        .filter((row) => row.load_band === loadBand && row[column] !== null)
        .filter((row) => measure !== 'flareRpm' || countsOfRow(row).flareMeasured === 1)
        .map((row) => Number(row[column]));
      const kept = found.get(loadBand + 1);
      expect(kept?.count ?? 0).toBe(values.length);
      if (!kept) continue;
      const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
      expect(Math.abs(kept.mean - mean)).toBeLessThanOrEqual(step / 2 + 1e-9);
      expect(sketchCount(kept.sketch)).toBe(values.length);
      expect(sketchQuantile(kept.sketch, 0.5)).toBeCloseTo(sketchQuantile(sketchOf(values), 0.5), 6);
    }
  }
}

describe('summaries', () => {
  it('equal a recount of the shifts after any analysing, replacing, removing, switching and moving', () => {
    const { store, folder, logs, vehicles, revisions } = aFleet();
    fc.assert(
      fc.property(anyStep, (step) => {
        if (step.what === 'analyse') analyse(store, logs[step.log].id, step.shifts);
        else if (step.what === 'switch') switchOver(store, step.shifts);
        else {
          const revisionId = revisions[step.revision];
          store.vehicles.install({
            actor: SYSTEM,
            vehicleId: vehicles[1],
            revisionId,
            sinceAtMs: Date.UTC(2026, 0, 1),
          });
        }
        const rows = shiftRows(folder);
        expect(keptCells(store)).toEqual(recount(rows));
        expectMeasures(store, rows);
        expect(store.fleet.verifySummaries()).toEqual([]);
        for (const vehicleId of vehicles) {
          const own = recount(rows.filter((row) => row.vehicle_id === vehicleId).map((row) => ({ ...row, ...ALIKE })));
          const [counts = SLICE_COUNTS.map(() => 0)] = own.values();
          const named = Object.fromEntries(SLICE_COUNTS.map((name, i) => [name, counts[i]]));
          expect(store.read.vehicles.find({}, vehicleId)?.counts).toEqual(named);
        }
      }),
      { numRuns: 80 },
    );
  });

  it('are as they were after a change that was undone, and so is what was kept of them in memory', () => {
    const { store, folder, logs } = aFleet();
    analyse(store, logs[0].id, [aNewShift()]);
    expect(keptCells(store)).toEqual(recount(shiftRows(folder)));
    const change = () =>
      store.transaction(() => {
        analyse(store, logs[0].id, [aNewShift({ grades: ['flare'] }), aNewShift({ grades: ['harsh'] })]);
        expect([...keptCells(store).values()][0][0]).toBe(2);
        throw new Error('undone');
      });
    expect(change).toThrow('undone');
    expect(keptCells(store)).toEqual(recount(shiftRows(folder)));
    // The version that was undone is given again, for something else.
    analyse(store, logs[0].id, [aNewShift({ grades: ['slow'] })]);
    expect(keptCells(store)).toEqual(recount(shiftRows(folder)));
  });

  it('are checked against the shifts: a wrong total, cell or measure, a surplus and a lost one are named and mended', () => {
    const { store, folder, logs, vehicles, revisions } = aFleet();
    for (const { id } of logs.slice(0, 3)) analyse(store, id, [aNewShift(), aNewShift({ grades: ['flare'] })]);
    analyse(store, logs[3].id, [aNewShift()]);
    const damage = (statement: string) => {
      const sqlite = new Database(join(folder, 'syncline.db'));
      sqlite.exec(statement);
      sqlite.close();
      return store.fleet
        .verifySummaries()
        .map(({ key, kept, counted, differing }) => [key, kept?.shifts, counted?.shifts, differing]);
    };
    const [first, second, third] = [
      [PLATFORM.id, '', vehicles[1]].join(' | '),
      [PLATFORM.id, revisions[0], vehicles[0]].join(' | '),
      [PLATFORM.id, revisions[1], vehicles[0]].join(' | '),
    ];
    const wrongTotal = [first, 1, 1, ['totals']];
    expect(damage(`UPDATE fleet_slices SET flare = flare + 1 WHERE revision_id = ''`)).toEqual([wrongTotal]);
    // The last byte of a sum of squares, and a count of which the totals know nothing.
    const blobs = [second, 4, 4, ['outcomes', 'measures']];
    expect(
      damage(`UPDATE fleet_slices SET measures = substr(measures, 1, length(measures) - 1) || x'41',
        outcomes = substr(outcomes, 1, length(outcomes) - 4) || x'09000000' WHERE revision_id = '${revisions[0]}'`),
    ).toEqual([wrongTotal, blobs]);
    expect(damage(`UPDATE fleet_slices SET outcomes = x'00' WHERE revision_id = '${revisions[1]}'`)).toEqual([
      wrongTotal,
      blobs,
      [third, 2, 2, ['outcomes']],
    ]);
    const everything = ['totals', 'outcomes', 'measures'];
    expect(
      damage(`DELETE FROM fleet_slices WHERE revision_id = '${revisions[1]}';
        UPDATE fleet_slices SET vehicle_id = 'gone' WHERE revision_id = ''`),
    ).toEqual([
      [[PLATFORM.id, '', 'gone'].join(' | '), 1, undefined, everything],
      [first, undefined, 1, everything],
      blobs,
      [third, undefined, 2, everything],
    ]);
    expect(store.fleet.recomputeSummaries()).toHaveLength(4);
    expect(store.fleet.verifySummaries()).toEqual([]);
    expect(keptCells(store)).toEqual(recount(shiftRows(folder)));
  });
});

/** All shifts of a car in one cell. */
const ALIKE = { revision_id: '', kind: '', load_band: 0, fluid_temperature_band: 0, program: '' };
