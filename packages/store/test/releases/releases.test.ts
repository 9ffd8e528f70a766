import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { connectForWriting } from '../../src/database/connect.ts';
import type { Store } from '../../src/index.ts';
import {
  aBlob,
  aClub,
  aContent,
  aNewShift,
  analysisJob,
  aProfile,
  aRevision,
  aShift,
  QUALITY,
  READ_FINDINGS,
  SAMPLE_FINDINGS,
  SYSTEM,
} from '../support/builders.ts';
import { openTestStore, START_MS } from '../support/test-store.ts';

const COHORT = { dialects: [], engines: [], tags: [], hardware: [] };
const STAGES = [{ size: { kind: 'share', share: 1 }, minShifts: 1, minVehicles: 1 }] as const;

/** A club with a car that ran the first revision and a release of the second. */
function aRelease(store: Store) {
  const { maintainer, calibrationId, revisionId: olderId } = aClub(store);
  const newerId = aRevision(store, { calibrationId, parentId: olderId, content: aContent(120) });
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  const releaseId = store.releases.draft({
    actor: SYSTEM,
    revisionId: newerId,
    replacesId: olderId,
    words: 'Firmer.',
    cohort: COHORT,
    stages: STAGES,
    harmLimit: 0,
  });
  return { maintainer, olderId, newerId, vehicleId, releaseId };
}

const start = (store: Store, releaseId: string) =>
  store.releases.move({
    actor: SYSTEM,
    releaseId,
    kind: 'start',
    from: { state: 'draft', stage: 0 },
    to: { state: 'running', stage: 0 },
    reason: '',
  });

/** A drive with these shifts under a revision, or what the file itself says that it ran. */
function drive(
  store: Store,
  input: {
    readonly vehicleId: string;
    readonly revisionId: string;
    readonly seed: number;
    readonly flares: readonly boolean[];
    readonly stated?: string;
  },
): string {
  const { logId } = store.logs.add({
    actor: SYSTEM,
    vehicleId: input.vehicleId,
    fileName: 'drive.csv',
    drivenAtMs: START_MS + input.seed,
    revisionId: input.revisionId,
    blob: aBlob(input.seed),
    jobFor: analysisJob,
  });
  const claimed = store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });
  if (!claimed) throw new Error('no job');
  store.logs.replaceAnalysis({
    lease: claimed.lease,
    logId,
    state: 'ready',
    problem: null,
    analysisVersion: 1,
    policyVersion: 1,
    durationS: 50,
    shifts: input.flares.map((isFlare, i) =>
      aNewShift({ shift: aShift({ commandS: 10 + i }), grades: [isFlare ? 'flare' : 'clean'] }),
    ),
    lockUps: [],
    sampleFindings: SAMPLE_FINDINGS,
    readFindings: READ_FINDINGS,
    inspection: null,
    quality: QUALITY,
    signalFile: null,
    marks: [],
    statedCalibration: input.stated,
  });
  return logId;
}

describe('a release', () => {
  it('is a pointer with a history', () => {
    const { store } = openTestStore();
    const { releaseId, vehicleId } = aRelease(store);
    start(store, releaseId);
    store.releases.takeIn({ actor: SYSTEM, releaseId, stage: 0, vehicleIds: [vehicleId], joined: 'Blue van' });
    store.releases.answer({ actor: SYSTEM, releaseId, vehicleId, answer: 'failed', note: 'no cable' });
    expect(store.read.releases.find(releaseId)).toMatchObject({
      state: 'running',
      revision: { number: 2 },
      replaces: { number: 1 },
      stages: STAGES,
    });
    expect(store.read.releases.events(releaseId).map(({ kind, reason }) => [kind, reason])).toEqual([
      ['draft', ''],
      ['start', ''],
      ['join', 'Blue van'],
      ['failed', 'Blue van: no cable'],
    ]);
    expect(store.read.releases.ofVehicle(vehicleId)).toMatchObject([{ id: releaseId, car: { answer: 'failed' } }]);
    expect(store.read.releases.list({}, { limit: 10 }).items).toMatchObject([{ taken: 1, installed: 0 }]);
  });

  it('is moved only from where the mover saw it', () => {
    const { store } = openTestStore();
    const { releaseId } = aRelease(store);
    start(store, releaseId);
    expect(() => start(store, releaseId)).toThrow(expect.objectContaining({ code: 'release_moved' }));
  });

  it('counts as evidence what cars drove that it took in', () => {
    const { store } = openTestStore();
    const { releaseId, vehicleId, newerId } = aRelease(store);
    drive(store, { vehicleId, revisionId: newerId, seed: 1, flares: [true, false, false] });
    expect(store.read.releases.evidence(releaseId)).toEqual({ shifts: 0, vehicles: 0 });
    store.releases.takeIn({ actor: SYSTEM, releaseId, stage: 0, vehicleIds: [vehicleId], joined: null });
    expect(store.read.releases.evidence(releaseId)).toEqual({ shifts: 3, vehicles: 1 });
  });

  it('tells apart what its people confirmed and what its cars drove', () => {
    const { store } = openTestStore();
    const { maintainer, releaseId, vehicleId, newerId } = aRelease(store);
    const more = [1, 2].map(() =>
      store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() }),
    );
    const listed = () => {
      const [{ taken, installed, driven, stateReason }] = store.read.releases.list({}, { limit: 10 }).items;
      return { taken, installed, driven, stateReason };
    };
    expect(listed()).toEqual({ taken: 0, installed: 0, driven: 0, stateReason: '' });
    store.releases.takeIn({ actor: SYSTEM, releaseId, stage: 0, vehicleIds: [vehicleId, more[0]], joined: null });
    // The last was not taken in: what it drives says nothing of the release.
    for (const [seed, id] of [vehicleId, more[1]].entries()) {
      drive(store, { vehicleId: id, revisionId: newerId, seed, flares: [false] });
    }
    store.releases.answer({ actor: SYSTEM, releaseId, vehicleId: more[0], answer: 'installed', note: '' });
    expect(listed()).toEqual({ taken: 2, installed: 1, driven: 1, stateReason: '' });
  });

  it('says why it is held, or was recalled, by the newest time that it was', () => {
    const { store } = openTestStore();
    const { releaseId } = aRelease(store);
    start(store, releaseId);
    const standing = { hold: 'held', resume: 'running', recall: 'recalled' } as const;
    let from: 'running' | 'held' | 'recalled' = 'running';
    const move = (kind: 'hold' | 'resume' | 'recall', why: string) => {
      const to = standing[kind];
      const [before, after] = [from, to].map((state) => ({ state, stage: 0 }));
      store.releases.move({ actor: SYSTEM, releaseId, kind, from: before, to: after, reason: why });
      from = to;
    };
    const reason = () => store.read.releases.list({}, { limit: 10 }).items[0].stateReason;
    move('hold', 'first');
    move('resume', 'well');
    expect(reason()).toBe('');
    move('hold', 'second');
    expect(reason()).toBe('second');
    move('resume', 'well again');
    move('recall', 'for good');
    expect(reason()).toBe('for good');
  });

  it('gives its monitor each drive apart, under both revisions', () => {
    const { store } = openTestStore();
    const { vehicleId, newerId, olderId } = aRelease(store);
    const first = drive(store, { vehicleId, revisionId: olderId, seed: 1, flares: [false, false] });
    const second = drive(store, { vehicleId, revisionId: newerId, seed: 2, flares: [true, false, true] });
    expect(store.read.releases.vehiclesUnder(newerId)).toEqual([vehicleId]);
    const common = { vehicle: vehicleId, stratum: '1-2|2|3|calm', loadBand: 2 };
    expect(store.read.releases.watchedRows({ vehicleId, newerId, olderId })).toEqual([
      {
        ...common,
        drive: first,
        revision: 'older',
        outcomes: { flare: { shifts: 2, events: 0 }, harsh: { shifts: 2, events: 0 } },
      },
      {
        ...common,
        drive: second,
        revision: 'newer',
        outcomes: { flare: { shifts: 3, events: 2 }, harsh: { shifts: 3, events: 0 } },
      },
    ]);
  });
});

describe('what a log says that its control unit ran', () => {
  it.each([
    ['the name of the revision', () => 'touring R2'],
    ['the first digits of its content hash', (hash: string) => hash.slice(0, 8).toUpperCase()],
    ['its whole content hash', (hash: string) => hash],
  ])('is believed before its sender where it is %s', (_name, text) => {
    const { store } = openTestStore();
    const { vehicleId, newerId, olderId } = aRelease(store);
    const stated = text(store.read.calibrations.findRevision(newerId)?.contentHash ?? '');
    const logId = drive(store, { vehicleId, revisionId: olderId, seed: 1, flares: [false], stated });
    expect(store.read.logs.find({}, logId)).toMatchObject({
      revision: { id: newerId },
      stated: { text: stated, revisionId: newerId },
    });
    expect(store.read.releases.releasableCars({ vehicleId })[0]?.stated).toMatchObject({
      text: stated,
      revision: { id: newerId },
    });
    // What is entered later moves no log that speaks for itself.
    store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: olderId, sinceAtMs: START_MS - 1 });
    expect(store.read.logs.find({}, logId)?.revision?.id).toBe(newerId);
  });

  it.each(['some other maps', 'abc', '0123456789abcdef'])('changes nothing where the club knows no “%s”', (stated) => {
    const { store } = openTestStore();
    const { vehicleId, olderId } = aRelease(store);
    const logId = drive(store, { vehicleId, revisionId: olderId, seed: 1, flares: [false], stated });
    expect(store.read.logs.find({}, logId)).toMatchObject({
      revision: { id: olderId },
      stated: { text: stated, revisionId: null },
    });
    expect(store.read.releases.releasableCars({ vehicleId })[0]?.stated).toMatchObject({
      text: stated,
      revision: null,
    });
  });
});

describe('the database', () => {
  it.each([
    ['release_events', /is never changed/, /is never removed/],
    ['release_looks', /is never changed/, /is never removed/],
    ['downloads', /is never changed/, /is never removed/],
    ['control_unit_events', /is never changed/, /is never removed/],
    ['unit_recalls', /is never changed/, /is never removed/],
    ['releases', /What is released is never changed/, /is never removed/],
  ])('keeps rows of %s as they were made', (table, changed, removed) => {
    const { store, folder } = openTestStore();
    const { releaseId, vehicleId, newerId } = aRelease(store);
    store.releases.keepLook({ releaseId, shifts: 3, verdict: 'open', parts: [] });
    const hash = 'a'.repeat(64);
    const download = { contentHash: hash, fileSha256: hash, format: 'csv' };
    store.releases.recordDownload({ actor: SYSTEM, releaseId, revisionId: newerId, vehicleId, ...download });
    const unit = { serial: 'CU-1', platformId: 'tern6', hardware: 'B', firmware: '', layoutVersion: null, note: '' };
    store.controlUnits.enter({ actor: SYSTEM, ...unit });
    store.controlUnits.recall({ actor: SYSTEM, make: { hardware: 'B', firmware: null }, words: 'Send it back.' });
    store.close();
    const sqlite = connectForWriting(join(folder, 'syncline.db'));
    onTestFinished(() => void sqlite.close());
    expect(sqlite.prepare(`SELECT * FROM ${table}`).all()).toHaveLength(1);
    expect(() => sqlite.exec(`UPDATE ${table} SET id = id`)).toThrow(changed);
    expect(() => sqlite.exec(`DELETE FROM ${table}`)).toThrow(removed);
  });
});
