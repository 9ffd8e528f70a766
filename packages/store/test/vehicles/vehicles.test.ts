import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Store } from '../../src/index.js';
import {
  aClub,
  aContent,
  aLog,
  aNewShift,
  analyse,
  analysisJob,
  aProfile,
  aRevision,
  aTester,
  claimFor,
  LAYOUT,
  PLATFORM,
  POLICY,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

const SIGNAL_MAP = {
  time: { column: 'time', format: 'seconds' },
  signals: [{ signal: 'inputSpeed', column: 'turbine', unit: 'rpm' }],
} as const;
const PROBLEM = { code: 'log.unreadable', detail: 'no header', remedy: 'add one' };

function observe(store: Store, vehicleId: string, dialect: string | null): void {
  store.vehicles.observe({ actor: SYSTEM, vehicleId, dialect, source: 'capture', note: 'seen' });
}

describe('vehicles', () => {
  it('keep what their owner declares, and its changes', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    expect(store.read.vehicles.find({}, vehicleId)).toMatchObject({ ...aProfile(), ownerName: 'Marram' });
    const jobFor = (logId: string) => ({ kind: 'analyseLog', inputKey: logId, logId });
    store.vehicles.update({ actor: SYSTEM, vehicleId, profile: { massKg: 2400, note: undefined }, jobFor });
    expect(store.read.vehicles.find({}, vehicleId)).toMatchObject(aProfile({ massKg: 2400 }));
    expect(store.read.audit.list({ limit: 1 }).items[0].detail).toBe('massKg: 2100 → 2400');
  });

  it('are hidden from other testers in list and detail', () => {
    const { store } = openTestStore();
    aClub(store);
    const [thrift, rocket] = [aTester(store, 'thrift'), aTester(store, 'rocket')];
    const ofThrift = store.vehicles.create({ actor: SYSTEM, ownerId: thrift, profile: aProfile({ title: 'A' }) });
    store.vehicles.create({ actor: SYSTEM, ownerId: rocket, profile: aProfile({ title: 'B' }) });
    expect(store.read.vehicles.list({}, { limit: 10 }).totalCount).toBe(2);
    expect(store.read.vehicles.list({ ownerId: thrift }, { limit: 10 })).toMatchObject({
      items: [{ id: ofThrift }],
      totalCount: 1,
    });
    expect(store.read.vehicles.find({ ownerId: rocket }, ofThrift)).toBeUndefined();
    expect(store.read.vehicles.findSignalMaps({ ownerId: rocket }, ofThrift)).toBeUndefined();
    expect(store.read.vehicles.findSignalMaps({ ownerId: thrift }, ofThrift)).toEqual([]);
  });

  it('show counts of their shifts, logs and last drive', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const logId = aLog(store, { vehicleId, seed: 1, drivenAtMs: START_MS - 5 });
    analyse(store, logId, [aNewShift({ grades: ['flare', 'harsh'] }), aNewShift()]);
    aLog(store, { vehicleId, seed: 2, drivenAtMs: START_MS - 9 });
    expect(store.read.vehicles.list({}, { limit: 10 }).items[0]).toMatchObject({
      logCount: 2,
      lastDrivenAtMs: START_MS - 5,
      counts: expect.objectContaining({ shifts: 2, flare: 1, tieUp: 0, harsh: 1, slow: 0, incomplete: 0, clean: 1 }),
    });
  });

  it.each([
    ['confirmed', 'north', ['south', 'north']],
    ['contradicted', 'north', ['north', 'south']],
    ['unknown', 'north', []],
    ['unknown', 'north', ['north', null]],
    ['unknown', null, ['north']],
  ] as const)('the dialect is %s when %s is declared and %j were observed', (verdict, declaredDialect, observed) => {
    const { store, clock } = openTestStore();
    const { maintainer } = aClub(store);
    const profile = aProfile({ declaredDialect });
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile });
    for (const dialect of observed) {
      clock.nowMs += 1;
      observe(store, vehicleId, dialect);
    }
    const vehicle = store.read.vehicles.find({}, vehicleId);
    expect(vehicle).toMatchObject({ dialectVerdict: verdict, observedDialect: observed.at(-1) ?? null });
    expect(vehicle?.observations.map(({ dialect }) => dialect)).toEqual(observed.toReversed());
  });

  it('refuse a revision of another platform', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    store.platforms.create({ actor: SYSTEM, platform: { ...PLATFORM, id: 'gull5' }, policy: POLICY });
    store.platforms.addLayout({ actor: SYSTEM, layout: { ...LAYOUT, platformId: 'gull5' } });
    const calibrationId = store.calibrations.create({ actor: SYSTEM, title: 'G', platformId: 'gull5', note: '' });
    const content = { ...aContent(), platformId: 'gull5' };
    const revisionId = aRevision(store, { calibrationId, parentId: null, content });
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    expect(() => store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId, sinceAtMs: 1 })).toThrow(
      expect.objectContaining({ code: 'platform_mismatch' }),
    );
  });

  it('run at every instant what was installed last before it, in whatever order it was entered', () => {
    const { store } = openTestStore();
    const { maintainer, calibrationId, revisionId } = aClub(store);
    const others = [2, 3].map((value) => aRevision(store, { calibrationId, parentId: null, content: aContent(value) }));
    const installs = fc.uniqueArray(
      fc.record({ sinceAtMs: fc.integer({ min: 1, max: 50 }), revisionId: fc.constantFrom(revisionId, ...others) }),
      { selector: (install) => install.sinceAtMs, maxLength: 6 },
    );
    fc.assert(
      fc.property(installs, fc.integer({ min: 0, max: 60 }), (entered, atMs) => {
        const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
        for (const install of entered) store.vehicles.install({ actor: SYSTEM, vehicleId, ...install });
        const expected = entered
          .filter(({ sinceAtMs }) => sinceAtMs <= atMs)
          .sort((a, b) => b.sinceAtMs - a.sinceAtMs)[0];
        expect(store.read.vehicles.findInstalledAt(vehicleId, atMs)?.id).toBe(expected?.revisionId);
        expect(store.read.vehicles.find({}, vehicleId)?.installations).toHaveLength(entered.length);
      }),
      { numRuns: 40 },
    );
  });

  it('a signal map queues the logs that wait for one or failed, and no others', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const awaiting = aLog(store, { vehicleId, seed: 1 });
    const inspection = {
      format: 'csv' as const,
      delimiter: ';',
      decimalMark: ',',
      columns: [{ name: 'time', unit: 's' }],
      firstRows: [['0']],
      suggestion: null,
      reasons: ['no column looks like a speed'],
    };
    store.logs.awaitMap({ lease: claimFor(store, awaiting), logId: awaiting, inspection, problem: PROBLEM });
    expect(store.read.logs.find({}, awaiting)).toMatchObject({ state: 'awaitingMap', inspection, problem: PROBLEM });
    const failed = aLog(store, { vehicleId, seed: 2 });
    store.jobs.fail({ lease: claimFor(store, failed), problem: PROBLEM, retry: false });
    const ready = aLog(store, { vehicleId, seed: 3 });
    analyse(store, ready, []);
    const setMap = { actor: SYSTEM, vehicleId, format: 'csv', map: SIGNAL_MAP, jobFor: analysisJob } as const;
    const requeued = store.vehicles.setSignalMap(setMap);
    expect(requeued).toEqual([awaiting, failed]);
    const saved = { format: 'csv', map: SIGNAL_MAP, updatedAtMs: START_MS };
    expect(store.read.vehicles.findSignalMaps({}, vehicleId)).toEqual([saved]);
    expect(store.read.logs.find({}, awaiting)).toMatchObject({ state: 'waiting', problem: null });
    expect(store.read.logs.find({}, failed)).toMatchObject({ state: 'waiting', problem: null });
    expect(store.read.logs.find({}, ready)?.state).toBe('ready');
    expect(store.read.logs.findAnalysisInput(failed)?.signalMaps).toEqual({ csv: SIGNAL_MAP });
  });

  it('keep one signal map for each format, and one does not touch the other', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const busMap = { ...SIGNAL_MAP, signals: [{ signal: 'inputSpeed', column: 'N_in', unit: 'rpm' }] } as const;
    const set = { actor: SYSTEM, vehicleId, jobFor: analysisJob };
    store.vehicles.setSignalMap({ ...set, format: 'csv', map: SIGNAL_MAP });
    store.vehicles.setSignalMap({ ...set, format: 'candump', map: SIGNAL_MAP });
    store.vehicles.setSignalMap({ ...set, format: 'candump', map: busMap });
    const maps = store.read.vehicles.findSignalMaps({}, vehicleId);
    expect(maps?.map(({ format, map }) => [format, map])).toEqual([
      ['candump', busMap],
      ['csv', SIGNAL_MAP],
    ]);
  });
});
