import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { connectForReading } from '../../src/database/connect.js';
import { queryBuilder } from '../../src/database/context.js';
import { summaryReader } from '../../src/fleet/summary-reader.js';
import { aNewShift, analyse, analysisJob, PLATFORM, SYSTEM } from '../support/builders.js';
import { aFleet, countOf } from '../support/fleet.js';

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
    const cells = (filter: object) => {
      const rows = store.read.fleet.strataByVehicle({ platformId: PLATFORM.id, ...filter });
      const keys = [
        ...new Set(rows.map(({ loadBand, vehicleId }) => `${loadBand} ${vehicles.indexOf(vehicleId)}`)),
      ].sort();
      return keys.map((key) => {
        const [loadBand, vehicle] = key.split(' ').map(Number);
        const own = rows.filter((row) => row.loadBand === loadBand && row.vehicleId === vehicles[vehicle]);
        const total = (name: 'shifts' | 'flare' | 'tieUp') => own.reduce((sum, row) => sum + row[name], 0);
        return [loadBand, vehicle, total('shifts'), total('flare'), total('tieUp')];
      });
    };
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
    const points = store.read.fleet.trend({ platformId: PLATFORM.id });
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

  it('give strata of each car, its revisions together, that keep kind, bands and program apart', () => {
    const { store, logs, vehicles, revisions } = aFleet();
    analyse(store, logs[0].id, [aNewShift({ bands: at(1, 0) }), aNewShift({ bands: at(1, 0), program: null })]);
    analyse(store, logs[1].id, [aNewShift({ bands: { ...at(1, 0), speed: 2 }, grades: ['slow'] })]);
    analyse(store, logs[2].id, [aNewShift({ bands: at(1, 2) }), aNewShift({ bands: at(1, 0) })]);
    analyse(store, logs[3].id, [aNewShift()]);
    const strata = (filter: object) => store.read.fleet.strataByVehicle({ platformId: PLATFORM.id, ...filter });
    const stratum = { vehicleId: vehicles[0], kind: '1-2', loadBand: 1, fluidTemperatureBand: 0, program: 'calm' };
    expect(strata({ vehicleId: vehicles[0] })).toHaveLength(3);
    expect(strata({})).toHaveLength(4);
    expect(strata({})).toContainEqual({
      ...stratum,
      ...countOf([aNewShift(), aNewShift(), aNewShift({ grades: ['slow'] })]),
    });
    expect(strata({ revisionId: revisions[0] })).toContainEqual({
      ...stratum,
      ...countOf([aNewShift(), aNewShift({ grades: ['slow'] })]),
    });
    expect(strata({}).map(({ program }) => program)).toContain(null);
  });

  it('keep to a cohort: the dialect as observed, else as declared, and the engine', () => {
    const { store, logs, vehicles } = aFleet();
    const [a, b] = vehicles;
    analyse(store, logs[0].id, [aNewShift()]);
    analyse(store, logs[3].id, [aNewShift(), aNewShift()]);
    store.vehicles.update({ actor: SYSTEM, vehicleId: b, profile: { engine: '3.0 petrol' }, jobFor: analysisJob });
    const platformId = PLATFORM.id;
    const shiftsOf = (cohort: object) => {
      const { slices } = store.read.fleet.slices({ platformId, ...cohort });
      const { shifts } = store.read.fleet.overview({ platformId, ...cohort });
      expect(slices.reduce((sum, { slice }) => sum + slice.counts[0], 0)).toBe(shifts);
      return shifts;
    };
    expect([shiftsOf({ dialect: 'north' }), shiftsOf({ dialect: 'south' })]).toEqual([3, 0]);
    expect([shiftsOf({ engine: '2.5 diesel' }), shiftsOf({ engine: '3.0 petrol' })]).toEqual([1, 2]);
    const seen = { actor: SYSTEM, source: 'capture', note: '' } as const;
    store.vehicles.observe({ ...seen, vehicleId: b, dialect: 'south' });
    store.vehicles.observe({ ...seen, vehicleId: a, dialect: null });
    expect([shiftsOf({ dialect: 'north' }), shiftsOf({ dialect: 'south' })]).toEqual([1, 2]);
    expect(shiftsOf({ dialect: 'south', engine: '2.5 diesel' })).toBe(0);
    expect(store.read.fleet.cohortSize({ platformId, dialect: 'south' })).toBe(1);
    expect(store.read.fleet.cohorts(platformId)).toEqual({
      dialects: [
        { value: 'north', vehicles: 1 },
        { value: 'south', vehicles: 1 },
      ],
      engines: [
        { value: '2.5 diesel', vehicles: 1 },
        { value: '3.0 petrol', vehicles: 1 },
      ],
      programs: ['calm'],
    });
    expect(store.read.fleet.byVehicle({}, { platformId, engine: '3.0 petrol' })).toMatchObject([{ vehicleId: b }]);
    const states = () =>
      [{}, { engine: '2.5 diesel' }].map((cohort) => store.read.fleet.state({ platformId, ...cohort }));
    const before = states();
    expect(states()).toEqual(before);
    analyse(store, logs[0].id, []);
    for (const [i, state] of states().entries()) expect(state).not.toBe(before[i]);
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

  it('are the same however little room there is in memory, and after warming up', () => {
    const { store, folder, logs } = aFleet();
    const sqlite = connectForReading(join(folder, 'syncline.db'));
    const readers = [0, 1e-4, 1].map((cacheMib) => summaryReader(queryBuilder(sqlite), { cacheMib }));
    const filter = { platformId: PLATFORM.id };
    for (const [count, { id }] of logs.entries()) {
      analyse(
        store,
        id,
        [0, 1, 2].slice(0, count).map((load) => aNewShift({ bands: at(load, 0) })),
      );
      for (const reader of readers) {
        expect([...reader.warmUp()].length).toBe(0);
        expect(reader.slices(filter)).toEqual(store.read.fleet.slices(filter));
        expect(reader.slices(filter)).toEqual(store.read.fleet.slices(filter));
      }
    }
    expect(store.read.fleet.slices(filter).slices).toHaveLength(3);
    sqlite.close();
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
