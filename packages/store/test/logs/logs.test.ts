import { writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Store } from '../../src/index.js';
import {
  aBlob,
  aClub,
  aContent,
  aLockUp,
  aLog,
  aNewShift,
  analyse,
  analysisJob,
  aProfile,
  aResult,
  aRevision,
  aShift,
  aTester,
  claimFor,
  PLATFORM,
  POLICY,
  READ_FINDINGS,
  SAMPLE_FINDINGS,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

function aCar(store: Store) {
  const club = aClub(store);
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: club.maintainer.id, profile: aProfile() });
  return { ...club, vehicleId };
}

describe('logs', () => {
  it('the same bytes for the same car are one log, for another car another', () => {
    const { store } = openTestStore();
    const { vehicleId, maintainer } = aCar(store);
    const other = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const add = (car: string) =>
      store.logs.add({
        actor: SYSTEM,
        vehicleId: car,
        fileName: 'drive.csv',
        drivenAtMs: START_MS,
        blob: aBlob(1),
        jobFor: analysisJob,
      });
    const first = add(vehicleId);
    expect(first.isDuplicate).toBe(false);
    const audited = store.read.audit.list({ limit: 1 }).totalCount;
    expect(add(vehicleId)).toEqual({ logId: first.logId, isDuplicate: true });
    expect(store.read.audit.list({ limit: 1 }).totalCount).toBe(audited);
    expect(add(other).isDuplicate).toBe(false);
    expect(store.read.logs.list({}, {}, { limit: 10 }).totalCount).toBe(2);
    expect(store.read.logs.findByHash(vehicleId, aBlob(1).sha256)?.id).toBe(first.logId);
  });

  it('belong to the revision that was installed when they were driven, unless another is named', () => {
    const { store } = openTestStore();
    const { vehicleId, revisionId } = aCar(store);
    store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId, sinceAtMs: START_MS });
    const before = aLog(store, { vehicleId, seed: 1, drivenAtMs: START_MS - 1 });
    const after = aLog(store, { vehicleId, seed: 2, drivenAtMs: START_MS });
    const named = aLog(store, { vehicleId, seed: 3, drivenAtMs: START_MS - 1, revisionId });
    expect(store.read.logs.find({}, before)?.revision).toBeNull();
    expect(store.read.logs.find({}, after)?.revision).toEqual({
      id: revisionId,
      calibrationTitle: 'Touring',
      number: 1,
    });
    expect(store.read.logs.find({}, named)?.revision?.id).toBe(revisionId);
  });

  it.each([
    ['follow the time that the file itself tells', undefined, null],
    ['keep a revision that was named against what was installed', 'named', 'named'],
  ])('%s', (_, naming, expected) => {
    const { store } = openTestStore();
    const { vehicleId, calibrationId, revisionId } = aCar(store);
    const otherId = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(101) });
    store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId, sinceAtMs: START_MS });
    const logId = aLog(store, {
      vehicleId,
      seed: 1,
      drivenAtMs: START_MS + 1,
      ...(naming && { revisionId: otherId }),
    });
    const lease = claimFor(store, logId);
    store.logs.replaceAnalysis(
      aResult({ lease, logId, signalFile: null, drivenAtMs: START_MS - 1, shifts: [aNewShift()] }),
    );
    const revision = expected === null ? null : otherId;
    expect(store.read.logs.find({}, logId)).toMatchObject({ drivenAtMs: START_MS - 1 });
    expect(store.read.logs.find({}, logId)?.revision?.id ?? null).toBe(revision);
    expect(store.read.shifts.ofLog(logId).map((shift) => shift.revision?.id ?? null)).toEqual([revision]);
    expect(store.read.fleet.byRevision([revisionId])).toEqual([]);
    expect(store.read.fleet.byRevision([otherId])).toHaveLength(revision === null ? 0 : 1);
  });

  it('give a worker all it needs', () => {
    const { store } = openTestStore();
    const { vehicleId, maintainer } = aCar(store);
    const logId = aLog(store, { vehicleId, seed: 5, drivenAtMs: START_MS });
    expect(store.read.logs.findAnalysisInput(logId)).toEqual({
      logId,
      vehicleId,
      ownerId: maintainer.id,
      fileName: 'drive-5.csv',
      sha256: aBlob(5).sha256,
      sizeBytes: 1005,
      drivenAtMs: START_MS,
      revisionId: null,
      platform: PLATFORM,
      policy: { ...POLICY, version: 1 },
      car: { ratedInputTorqueNm: 340, inputInertiaKgM2: 0.16, tyreRadiusM: 0.34, finalDriveRatio: 3.9 },
      dialectId: 'north',
      signalLists: {},
      signalMaps: {},
    });
  });

  it('keep the whole result of an analysis', () => {
    const { store } = openTestStore();
    const { vehicleId, revisionId } = aCar(store);
    const logId = aLog(store, { vehicleId, seed: 1, revisionId });
    const { name, path } = store.signals.newFile(logId);
    writeFileSync(path, '');
    const shifts = [
      aNewShift({
        shift: aShift({ disturbances: ['brake', 'lockUpMove'], flareStartS: 10.2, isHunting: true }),
        grades: ['flare', 'harsh'],
      }),
      aNewShift({
        shift: aShift({
          endedIn: null,
          outcome: 'cut',
          inertiaStartS: null,
          syncS: null,
          at: {
            load: null,
            inputTorqueNm: null,
            engineSpeedRpm: null,
            inputSpeedRpm: 1234.5,
            outputSpeedRpm: 600.25,
            fluidTemperatureC: null,
            pedal: null,
            programCode: null,
            applyPressureKpa: null,
            supplyVoltageV: null,
          },
        }),
        grades: ['incomplete'],
        program: null,
        bands: { load: -1, speed: 1, temperature: -1 },
        demandRatio: null,
        demandWeight: null,
      }),
    ];
    const result = aResult({
      lease: claimFor(store, logId),
      logId,
      shifts,
      lockUps: [aLockUp(), aLockUp({ verdict: 'lost', gear: null })],
      signalFile: { name, signalIds: ['inputSpeed', 'load'] },
      drivenAtMs: START_MS - 77,
      analysisVersion: 3,
    });
    store.logs.replaceAnalysis(result);
    const stored = store.read.shifts.ofLog(logId);
    const added = [
      'id',
      'logId',
      'vehicleId',
      'vehicleTitle',
      'revision',
      'drivenAtMs',
      'analysisVersion',
      'policyVersion',
    ];
    const withoutOrigin = stored.map((shift) =>
      Object.fromEntries(Object.entries(shift).filter(([key]) => !added.includes(key))),
    );
    expect(withoutOrigin).toEqual(shifts);
    expect(stored[0]).toMatchObject({
      id: `${logId}-00001`,
      logId,
      vehicleId,
      vehicleTitle: 'Blue van',
      revision: { id: revisionId, number: 1 },
      drivenAtMs: START_MS - 77,
      analysisVersion: 3,
      policyVersion: 1,
    });
    expect(store.read.shifts.find({}, stored[1].id)).toEqual(stored[1]);
    expect(store.read.logs.lockUps(logId)).toEqual([
      { id: `${logId}-L00001`, ...aLockUp() },
      { id: `${logId}-L00002`, ...aLockUp({ verdict: 'lost', gear: null }) },
    ]);
    expect(store.read.logs.find({}, logId)).toMatchObject({
      state: 'ready',
      progress: 1,
      drivenAtMs: START_MS - 77,
      durationS: 50,
      shiftCount: 2,
      grades: { flare: 1, harsh: 1, incomplete: 1 },
      signalFile: name,
      signalIds: ['inputSpeed', 'load'],
      analysisVersion: 3,
      sampleFindings: SAMPLE_FINDINGS,
      readFindings: READ_FINDINGS,
    });
  });

  it('an analysis run twice leaves what one leaves', () => {
    const { store } = openTestStore();
    const { vehicleId } = aCar(store);
    const logId = aLog(store, { vehicleId, seed: 1 });
    const shifts = [aNewShift(), aNewShift({ grades: ['flare'] })];
    analyse(store, logId, shifts);
    const once = [
      store.read.shifts.ofLog(logId),
      store.read.logs.find({}, logId),
      store.read.vehicles.find({}, vehicleId),
    ];
    analyse(store, logId, shifts);
    expect([
      store.read.shifts.ofLog(logId),
      store.read.logs.find({}, logId),
      store.read.vehicles.find({}, vehicleId),
    ]).toEqual(once);
    expect(store.fleet.verifySummaries()).toEqual([]);
  });

  it('a result that cannot be stored as a whole is not stored at all', () => {
    const { store } = openTestStore();
    const { vehicleId } = aCar(store);
    const logId = aLog(store, { vehicleId, seed: 1 });
    analyse(store, logId, [aNewShift()]);
    store.logs.requeue({ actor: SYSTEM, logId, job: analysisJob(logId) });
    const lease = claimFor(store, logId);
    const measures = { ...aShift().measures, flareRpm: Number.NaN };
    const shifts = [aNewShift(), aNewShift({ shift: aShift({ measures }) })];
    expect(() => store.logs.replaceAnalysis(aResult({ lease, logId, shifts }))).toThrow(/NOT NULL/);
    expect(store.read.shifts.ofLog(logId)).toHaveLength(1);
    expect(store.jobs.heartbeat({ lease, leaseMs: 1, progress: 0 })).toBe(true);
    expect(store.fleet.verifySummaries()).toEqual([]);
  });

  it('a result whose signal file is not in place is refused', () => {
    const { store } = openTestStore();
    const { vehicleId } = aCar(store);
    const logId = aLog(store, { vehicleId, seed: 1 });
    const lease = claimFor(store, logId);
    const signalFile = { name: store.signals.newFile(logId).name, signalIds: [] };
    expect(() => store.logs.replaceAnalysis(aResult({ lease, logId, signalFile }))).toThrow(
      expect.objectContaining({ code: 'not_found' }),
    );
  });

  it('are hidden from other testers', () => {
    const { store } = openTestStore();
    aClub(store);
    const [thrift, rocket] = [aTester(store, 'thrift'), aTester(store, 'rocket')];
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: thrift, profile: aProfile() });
    const logId = aLog(store, { vehicleId, seed: 1 });
    analyse(store, logId, [aNewShift()]);
    const [shift] = store.read.shifts.ofLog(logId);
    expect(store.read.logs.list({ ownerId: thrift }, {}, { limit: 10 }).totalCount).toBe(1);
    expect(store.read.logs.list({ ownerId: rocket }, {}, { limit: 10 })).toEqual({
      items: [],
      nextCursor: null,
      totalCount: 0,
    });
    expect(store.read.logs.find({ ownerId: rocket }, logId)).toBeUndefined();
    expect(store.read.shifts.find({ ownerId: thrift }, shift.id)).toEqual(shift);
    expect(store.read.shifts.find({ ownerId: rocket }, shift.id)).toBeUndefined();
    expect(store.read.shifts.list({ ownerId: rocket }, { sort: 'newest' }, { limit: 10 }).totalCount).toBe(0);
  });

  it('are listed by drive, newest first, filtered, in pages without gaps', () => {
    const { store } = openTestStore();
    const { vehicleId, revisionId } = aCar(store);
    const ids = [3, 1, 2, 1].map((day, i) =>
      aLog(store, { vehicleId, seed: i, drivenAtMs: START_MS + day, revisionId }),
    );
    const listed: string[] = [];
    for (let cursor: string | undefined; ; ) {
      const page = store.read.logs.list({}, { vehicleId, state: 'waiting', revisionId }, { cursor, limit: 1 });
      expect(page.totalCount).toBe(4);
      listed.push(...page.items.map((log) => log.id));
      if (page.nextCursor === null) break;
      cursor = page.nextCursor;
    }
    expect(listed).toEqual([ids[0], ids[2], ids[3], ids[1]]);
    expect(store.read.logs.list({}, { state: 'ready' }, { limit: 5 }).totalCount).toBe(0);
  });

  it('carry notes in the order of the drive', () => {
    const { store } = openTestStore();
    const { vehicleId } = aCar(store);
    const logId = aLog(store, { vehicleId, seed: 1 });
    store.logs.addNote({ actor: SYSTEM, logId, atS: 20, text: 'later' });
    const early = store.logs.addNote({ actor: SYSTEM, logId, atS: 3, text: 'early' });
    expect(store.read.logs.notes(logId).map((note) => note.text)).toEqual(['early', 'later']);
    expect(store.read.logs.notes(logId)[0]).toEqual(early);
  });

  it('let a note be corrected and removed, and keep what it said in the audit trail', () => {
    const { store, clock } = openTestStore();
    const { vehicleId } = aCar(store);
    const logId = aLog(store, { vehicleId, seed: 1 });
    const note = store.logs.addNote({ actor: SYSTEM, logId, atS: 20, text: 'a jolt' });
    clock.nowMs += 1000;
    const edited = store.logs.editNote({ actor: SYSTEM, logId, noteId: note.id, text: 'a jolt uphill' });
    expect(edited).toEqual({ ...note, text: 'a jolt uphill', editedAtMs: clock.nowMs });
    expect(store.read.logs.notes(logId)).toEqual([edited]);
    store.logs.removeNote({ actor: SYSTEM, logId, noteId: note.id });
    expect(store.read.logs.notes(logId)).toEqual([]);
    const details = store.read.audit.list({ limit: 2 }).items.map(({ detail }) => detail);
    expect(details).toEqual(['at 20 s: a jolt uphill', 'at 20 s: a jolt → at 20 s: a jolt uphill']);
    expect(() => store.logs.removeNote({ actor: SYSTEM, logId, noteId: note.id })).toThrow(
      expect.objectContaining({ code: 'not_found' }),
    );
  });

  it('that fail when they are analysed again keep the shifts of before and say so', () => {
    const { store } = openTestStore();
    const { vehicleId } = aCar(store);
    const logId = aLog(store, { vehicleId, seed: 1 });
    analyse(store, logId, [aNewShift()]);
    expect(store.read.logs.find({}, logId)).toMatchObject({ state: 'ready', showsEarlier: false });
    store.logs.requeue({ actor: SYSTEM, logId, job: analysisJob(logId) });
    expect(store.read.logs.find({}, logId)).toMatchObject({ state: 'waiting', showsEarlier: true, shiftCount: 1 });
    const problem = { code: 'log.unreadable', detail: 'no header', remedy: 'add one' };
    store.jobs.fail({ lease: claimFor(store, logId), problem, retry: false });
    expect(store.read.logs.find({}, logId)).toMatchObject({
      state: 'failed',
      showsEarlier: true,
      shiftCount: 1,
      problem,
    });
  });
});
