import { existsSync, writeFileSync } from 'node:fs';
import type { Grade } from '@syncline/shifts';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type NewJob, type NewShift, openSignalFile, type Store } from '../../src/index.js';
import {
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
  claimFor,
  PLATFORM,
  POLICY,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const NOTHING = {};
const runJob = (runId: string, logId: string): NewJob => ({
  kind: 'rereadLog',
  inputKey: `${runId}/${logId}`,
  runId,
  isBackground: true,
});

/** Three ready logs of one car under a second policy that is not yet in force, and a fourth that was never analysed. */
function aPlatformWithLogs() {
  const test = openTestStore();
  const { store } = test;
  const club = aClub(store);
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: club.maintainer.id, profile: aProfile() });
  store.platforms.addPolicy({ actor: SYSTEM, platformId: PLATFORM.id, policy: POLICY });
  const logIds = [1, 2, 3].map((seed) => {
    const logId = aLog(store, { vehicleId, seed, revisionId: club.revisionId });
    analyse(store, logId, [aNewShift(), aNewShift({ grades: ['flare'] })]);
    return logId;
  });
  return { ...test, ...club, vehicleId, logIds };
}

function begin(store: Store): string {
  const about = {
    actor: SYSTEM,
    platformId: PLATFORM.id,
    reason: 'policy',
    analysisVersion: 2,
    policyVersion: 2,
  } as const;
  return store.analysisRuns.begin({ ...about, jobFor: (runId, { logId }) => runJob(runId, logId) }).runId;
}

/** Works off one job of a run with these shifts; returns the log that it was about. */
function collectOne(store: Store, runId: string, shifts: readonly NewShift[]): string {
  const claimed = store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });
  if (!claimed) throw new Error('expected a job');
  const logId = claimed.job.inputKey.split('/')[1];
  const {
    lease: _lease,
    logId: _log,
    shifts: _shifts,
    analysisVersion: _a,
    policyVersion: _p,
    ...found
  } = aResult({
    lease: claimed.lease,
    logId,
    marks: [4.5],
  });
  store.analysisRuns.keep({
    lease: claimed.lease,
    runId,
    logId,
    outcome: 'analysed',
    problem: null,
    found: { ...found, lockUps: [aLockUp()] },
    shifts,
    analysisVersion: 2,
    policyVersion: 2,
    changes: NOTHING,
  });
  return logId;
}

function shown(store: Store, logIds: readonly string[]) {
  return logIds.map((logId) => store.read.shifts.ofLog(logId).map(({ grades, shift }) => [shift.kind, ...grades]));
}

describe('an analysis run', () => {
  it('collects beside what pages show, and then stands in its place with summaries and policy', () => {
    const { store, logIds } = aPlatformWithLogs();
    const before = shown(store, logIds);
    const runId = begin(store);
    for (const [done, _] of logIds.entries()) {
      expect(store.read.analysisRuns.find(runId)).toMatchObject({
        state: 'collecting',
        progress: { done, stuck: 0, total: 3 },
      });
      collectOne(store, runId, [aNewShift({ shift: aShift({ kind: '2-1' }), grades: ['harsh'] })]);
    }
    expect(store.read.analysisRuns.find(runId)?.state).toBe('ready');
    expect(shown(store, logIds)).toEqual(before);
    expect(store.read.platforms.findPolicy(PLATFORM.id)?.version).toBe(1);
    expect(store.read.analysisRuns.findCandidate({}, runId, logIds[0])?.shifts).toMatchObject([
      { id: `${logIds[0]}-00001`, grades: ['harsh'], analysisVersion: 2, policyVersion: 2 },
    ]);

    store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: { changed: 3 } });
    expect(shown(store, logIds)).toEqual(logIds.map(() => [['2-1', 'harsh']]));
    expect(store.fleet.verifySummaries()).toEqual([]);
    expect(store.read.platforms.findPolicy(PLATFORM.id)?.version).toBe(2);
    expect(store.read.logs.find({}, logIds[0])).toMatchObject({
      state: 'ready',
      analysisVersion: 2,
      policyVersion: 2,
      marks: [4.5],
    });
    expect(store.read.logs.lockUps(logIds[0])).toHaveLength(1);
    expect(store.read.analysisRuns.find(runId)).toMatchObject({
      state: 'switched',
      endedByName: 'test',
      effect: { changed: 3 },
      progress: null,
    });
    expect(store.read.audit.list({ limit: 1 }).items[0]).toMatchObject({ action: 'analysisRun.switch' });
  });

  it('is not switched to before every log has its new result, and never after its end', () => {
    const { store, logIds } = aPlatformWithLogs();
    const runId = begin(store);
    const switchTo = () => store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: null });
    collectOne(store, runId, []);
    expect(switchTo).toThrow(
      expect.objectContaining({ code: 'run_not_ready', message: '2 of 3 logs have no new result yet.' }),
    );
    expect(shown(store, logIds)[0]).toHaveLength(2);
    store.analysisRuns.discard({ actor: SYSTEM, runId, note: 'no better', effect: null });
    expect(switchTo).toThrow(expect.objectContaining({ code: 'run_ended' }));
    expect(store.read.platforms.findPolicy(PLATFORM.id)?.version).toBe(1);
    expect(store.read.analysisRuns.find(runId)).toMatchObject({ state: 'discarded', endNote: 'no better' });
  });

  it('leaves nothing to do behind when it is discarded, and a worker of it finds its lease lost', () => {
    const { store } = aPlatformWithLogs();
    const runId = begin(store);
    const claimed = store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });
    store.analysisRuns.discard({ actor: SYSTEM, runId, note: '', effect: null });
    expect(store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 })).toBeUndefined();
    expect(() => claimed && store.jobs.complete(claimed.lease)).toThrow(
      expect.objectContaining({ code: 'lease_lost' }),
    );
  });

  it('takes the place of one that is open', () => {
    const { store } = aPlatformWithLogs();
    const first = begin(store);
    const second = begin(store);
    expect(store.read.analysisRuns.find(first)).toMatchObject({
      state: 'discarded',
      endNote: 'A newer run took its place.',
    });
    expect(store.read.analysisRuns.findOpen(PLATFORM.id)?.id).toBe(second);
    expect(store.read.analysisRuns.list({ platformId: PLATFORM.id }, { limit: 10 }).items.map(({ id }) => id)).toEqual([
      second,
      first,
    ]);
  });

  it('gets its result of a log anew when the log is analysed meanwhile, and takes logs in that come later', () => {
    const { store, vehicleId, logIds } = aPlatformWithLogs();
    const runId = begin(store);
    for (const _ of logIds) collectOne(store, runId, []);
    expect(store.read.analysisRuns.find(runId)?.state).toBe('ready');
    const late = aLog(store, { vehicleId, seed: 4 });
    for (const logId of [logIds[1], late]) {
      if (logId !== late) store.logs.requeue({ actor: SYSTEM, logId, job: analysisJob(logId) });
      const lease = claimFor(store, logId);
      const candidateJobFor = (id: string) => runJob(id, logId);
      store.logs.replaceAnalysis(aResult({ lease, logId, shifts: [aNewShift()], candidateJobFor }));
    }
    expect(store.read.analysisRuns.find(runId)).toMatchObject({
      state: 'collecting',
      progress: { done: 2, stuck: 0, total: 4 },
    });
    expect([collectOne(store, runId, []), collectOne(store, runId, [])].sort()).toEqual([logIds[1], late].sort());
    store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: null });
    expect(shown(store, [...logIds, late])).toEqual([[], [], [], []]);
    expect(store.fleet.verifySummaries()).toEqual([]);
  });

  it('goes on with logs that gave up when it is taken up again', () => {
    const { store } = aPlatformWithLogs();
    const runId = begin(store);
    const claimed = store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });
    if (!claimed) throw new Error('expected a job');
    const problem = { code: 'server.fault', detail: 'broke off', remedy: 'again' };
    store.jobs.fail({ lease: claimed.lease, problem, retry: false });
    expect(store.read.analysisRuns.find(runId)).toMatchObject({ progress: { done: 0, stuck: 1, total: 3 } });
    expect(store.analysisRuns.resume({ runId, jobFor: (id, { logId }) => runJob(id, logId) })).toBe(1);
    expect(store.read.analysisRuns.find(runId)).toMatchObject({ progress: { done: 0, stuck: 0, total: 3 } });
  });

  it('moves shifts to the revision that the log has when it is switched to', () => {
    const { store, calibrationId, revisionId, vehicleId, logIds } = aPlatformWithLogs();
    const runId = begin(store);
    for (const _ of logIds) collectOne(store, runId, [aNewShift()]);
    const [evidence] = store.read.proposals.evidence([revisionId]);
    const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(2) });
    // The logs were sent with the first revision named and nothing entered, so that they stay with it.
    store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: second, sinceAtMs: 1 });
    store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: null });
    expect(store.read.shifts.ofLog(logIds[0])[0].revision?.id).toBe(revisionId);
    expect(store.fleet.verifySummaries()).toEqual([]);
    // What was estimated from the results of before is out of date.
    expect(store.read.proposals.evidence([revisionId])[0].version).toBeGreaterThan(evidence.version);
  });

  it('lets a log that cannot be read again keep its shifts, and says why', () => {
    const { store, logIds } = aPlatformWithLogs();
    const runId = begin(store);
    collectOne(store, runId, []);
    collectOne(store, runId, []);
    const claimed = store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });
    if (!claimed) throw new Error('expected a job');
    const [logId, problem] = [logIds[2], { code: 'log.unreadable', detail: 'no header', remedy: 'add one' }];
    store.analysisRuns.keep({
      lease: claimed.lease,
      runId,
      logId,
      outcome: 'failed',
      problem,
      found: null,
      shifts: [aNewShift({ grades: ['slow'] }), aNewShift({ grades: ['flare', 'slow'] })],
      analysisVersion: 1,
      policyVersion: 2,
      changes: NOTHING,
    });
    expect(store.read.analysisRuns.listChanged(runId, 10)).toMatchObject([{ logId, outcome: 'failed', problem }]);
    store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: null });
    expect(store.read.logs.find({}, logId)).toMatchObject({
      state: 'failed',
      problem,
      showsEarlier: true,
      shiftCount: 2,
      policyVersion: 2,
    });
    expect(store.read.shifts.ofLog(logId)).toMatchObject([
      { analysisVersion: 1, policyVersion: 2, grades: ['slow'] },
      { analysisVersion: 1, policyVersion: 2, grades: ['flare', 'slow'] },
    ]);
    expect(store.fleet.verifySummaries()).toEqual([]);
  });

  it('leaves its results to be removed bit by bit once it has ended, signal files included', async () => {
    const { store, folder, logIds, clock } = aPlatformWithLogs();
    const runId = begin(store);
    for (const _ of logIds) collectOne(store, runId, [aNewShift()]);
    const file = `${folder}/signals/waiting.signals`;
    writeFileSync(file, '');
    expect(store.analysisRuns.sweep(2)).toBe(0);
    store.analysisRuns.discard({ actor: SYSTEM, runId, note: '', effect: null });
    expect([store.analysisRuns.sweep(2), store.analysisRuns.sweep(2), store.analysisRuns.sweep(2)]).toEqual([2, 1, 0]);
    expect(store.read.analysisRuns.candidates(runId)).toEqual([]);
    clock.nowMs = Date.now() + 2 * 24 * 3600_000;
    await store.blobs.sweep();
    expect(existsSync(file)).toBe(false);
  });

  it('has its signal files kept while its results wait', async () => {
    const { store, logIds, clock } = aPlatformWithLogs();
    const runId = begin(store);
    const claimed = store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });
    if (!claimed) throw new Error('expected a job');
    const { name, path } = store.signals.newFile(logIds[0]);
    const { lease, logId, shifts, ...found } = aResult({ lease: claimed.lease, logId: logIds[0] });
    const input = {
      lease,
      runId,
      logId,
      outcome: 'analysed',
      problem: null,
      found: { ...found, lockUps: [], signalFile: { name, signalIds: ['inputSpeed'] as const } },
      shifts: [...shifts],
      analysisVersion: 2,
      policyVersion: 2,
      changes: NOTHING,
    } as const;
    expect(() => store.analysisRuns.keep(input)).toThrow(expect.objectContaining({ code: 'not_found' }));
    writeFileSync(path, '');
    store.analysisRuns.keep(input);
    clock.nowMs = Date.now() + 2 * 24 * 3600_000;
    await store.blobs.sweep();
    await expect(openSignalFile(path)).rejects.toMatchObject({ code: 'signal_file_damaged' });
  });

  it('of any results leaves exact summaries behind', () => {
    const grades = fc.constantFrom<readonly Grade[]>(['clean'], ['flare'], ['flare', 'harsh'], []);
    const shift = fc
      .record({ kind: fc.constantFrom('1-2', '2-1'), grades, load: fc.integer({ min: 0, max: 2 }) })
      .map(({ kind, grades: given, load }) =>
        aNewShift({ shift: aShift({ kind }), grades: given, bands: { load, speed: 0, temperature: 0 } }),
      );
    const results = fc.array(fc.array(shift, { maxLength: 4 }), { minLength: 3, maxLength: 3 });
    const { store, logIds } = aPlatformWithLogs();
    fc.assert(
      fc.property(results, (perLog) => {
        const runId = begin(store);
        const expected = new Map(perLog.map((shifts) => [collectOne(store, runId, shifts), shifts]));
        store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: null });
        expect(store.fleet.verifySummaries()).toEqual([]);
        for (const logId of logIds) {
          const now = store.read.shifts.ofLog(logId).map((stored) => [stored.shift.kind, stored.grades]);
          expect(now).toEqual(expected.get(logId)?.map((entry) => [entry.shift.kind, entry.grades]));
        }
      }),
      { numRuns: 25 },
    );
  });
});

it('tells which platforms show results of an older analysis or of another policy', () => {
  const { store } = aPlatformWithLogs();
  const versions = { platformId: PLATFORM.id, policyInForce: 1, hasOtherPolicy: false, hadRun: false };
  expect(store.read.analysisRuns.listVersions(1)).toEqual([{ ...versions, hasOlderAnalysis: false }]);
  expect(store.read.analysisRuns.listVersions(2)).toEqual([{ ...versions, hasOlderAnalysis: true }]);
  begin(store);
  expect(store.read.analysisRuns.listVersions(2)).toEqual([{ ...versions, hasOlderAnalysis: true, hadRun: true }]);
});
