import { rmSync } from 'node:fs';
import { join } from 'node:path';
import type { AnalysisRunResponse, CandidateResponse, LogResponse, ShiftRow } from '@syncline/contract';
import { DEFAULT_POLICY } from '@syncline/shifts';
import type { NewShift } from '@syncline/store';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createAnalyseLog } from '../src/jobs/analyse-log.js';
import { ANALYSIS_VERSION } from '../src/jobs/analysis-version.js';
import { Packer, type Packs } from '../src/workers/packs.js';
import { Client } from './support/client.js';
import { type Club, drive, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const NEWER = ANALYSIS_VERSION + 1;
/** Both shifts of each drive flare by 45 rpm: below the 60 rpm of the first policy, above the 30 rpm of the stricter. */
const FLARE_RPM = 45;
const { version: _version, ...POLICY } = DEFAULT_POLICY;
const withFlareLimit = (flareRpm: number) => ({
  ...POLICY,
  programs: Object.fromEntries(
    Object.entries(POLICY.programs).map(([id, limits]) => [id, { ...limits, flareRpm, flareMs: 20 }]),
  ),
});

let server: TestServer;
let club: Club;
let logIds: string[];
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  logIds = [];
  for (const offsetRpm of [0, 1]) {
    const csv = syntheticDriveCsv({ flareRpm: FLARE_RPM, offsetRpm });
    logIds.push((await drive(server, club.as.tester, club.vehicleId, csv)).id);
  }
});
afterAll(() => server.close());

const packed = (shifts: readonly NewShift[]): Packs<NewShift> => {
  const packer = new Packer<NewShift>(join(server.store.status().folder, 'shifts'));
  for (const shift of shifts) packer.add(shift);
  return packer.result();
};
const shiftsOf = async (logId: string): Promise<ShiftRow[]> =>
  (await made(club.as.tester.get(`/logs/${logId}/shifts`))).shifts;
const openRun = async (): Promise<AnalysisRunResponse> => {
  const { items } = await made(club.as.maintainer.get('/analysis-runs'));
  return made(club.as.maintainer.get(`/analysis-runs/${items[0].id}`));
};
const addPolicy = (flareRpm: number) =>
  made(club.as.maintainer.post('/platforms/skua/policies', withFlareLimit(flareRpm)));

describe('a new grading policy', () => {
  it('grades in a run beside the pages, shows what it changes, and comes into force with the switch', async () => {
    expect((await shiftsOf(logIds[0]!)).flatMap(({ grades }) => grades)).not.toContain('flare');
    expect(await addPolicy(30)).toMatchObject({ version: 2 });
    await server.jobs.idle();

    const run = await openRun();
    expect(run).toMatchObject({
      reason: 'policy',
      state: 'ready',
      policyVersion: 2,
      policyInForce: 1,
      beganByName: 'Marram',
      progress: { done: 2, stuck: 0, total: 2 },
      effect: { logs: { analysed: 0, regraded: 2, failed: 0, changed: 2 } },
    });
    const { total, kinds } = run.effect!;
    expect(total).toMatchObject({ before: 4, after: 4, found: 0, lost: 0, regraded: 4 });
    const flare = total.grades.find(({ grade }) => grade === 'flare');
    expect(flare).toEqual({ grade: 'flare', before: 0, after: 4, gained: 4, dropped: 0 });
    expect(kinds.map(({ kind, before, after }) => [kind, before, after])).toEqual([
      ['1-2', 2, 2],
      ['2-3', 2, 2],
    ]);
    expect(total.rates.flare.after).toMatchObject({ kind: 'insufficient', events: 4, shifts: 4, vehicles: 1 });
    expect(new Map(run.changedLogs.map(({ logId, regraded }) => [logId, regraded]))).toEqual(
      new Map(logIds.map((logId) => [logId, 2])),
    );

    const candidate: CandidateResponse = await made(
      club.as.maintainer.get(`/analysis-runs/${run.id}/logs/${logIds[0]}`),
    );
    expect(
      candidate.pairs.map(({ before, after }) => [before?.grades.includes('flare'), after?.grades.includes('flare')]),
    ).toEqual([
      [false, true],
      [false, true],
    ]);
    expect(candidate.pairs[0]?.before?.id).toBe(candidate.pairs[0]?.after?.id);

    const shown = (await shiftsOf(logIds[0]!))[0]!;
    expect(shown).toMatchObject({ policyVersion: 1 });
    expect((await made(club.as.tester.get('/platforms/skua'))).policy.version).toBe(1);

    const switched = await made(club.as.maintainer.post(`/analysis-runs/${run.id}/switch`));
    expect(switched).toMatchObject({ state: 'switched', endedByName: 'Marram', progress: null });
    for (const shift of await shiftsOf(logIds[0]!)) {
      expect(shift).toMatchObject({ policyVersion: 2, grades: expect.arrayContaining(['flare']) });
    }
    expect((await made(club.as.tester.get('/platforms/skua'))).policy.version).toBe(2);
    expect(server.store.fleet.verifySummaries()).toEqual([]);
    expect((await openRun()).effect).toEqual(run.effect);
  });

  it('that is discarded never grades what pages show', async () => {
    await addPolicy(1000);
    await server.jobs.idle();
    const run = await openRun();
    expect(run.effect?.total.grades.find(({ grade }) => grade === 'flare')).toMatchObject({ gained: 0, dropped: 4 });
    const before = await shiftsOf(logIds[0]!);
    await made(club.as.maintainer.post(`/analysis-runs/${run.id}/discard`, { note: 'hides what we felt' }));
    expect(await openRun()).toMatchObject({ state: 'discarded', endNote: 'hides what we felt', effect: run.effect });
    expect(await shiftsOf(logIds[0]!)).toEqual(before);
    expect((await club.as.maintainer.post(`/analysis-runs/${run.id}/switch`)).json()).toMatchObject({
      code: 'analysisRun.ended',
    });
  });

  it('can be tried again after it was discarded, from stored measures or from the originals', async () => {
    const begin = (body: object) => made(club.as.maintainer.post('/analysis-runs', { platform: 'skua', ...body }));
    await begin({ policyVersion: 3, reread: false });
    await server.jobs.idle();
    const regraded = await openRun();
    expect(regraded).toMatchObject({
      reason: 'policy',
      policyVersion: 3,
      effect: { logs: { analysed: 0, regraded: 2 } },
    });
    await begin({ policyVersion: 3 });
    await server.jobs.idle();
    const reread = await openRun();
    expect(reread).toMatchObject({ reason: 'asked', policyVersion: 3, effect: { logs: { analysed: 2, regraded: 0 } } });
    expect(reread.effect?.total).toEqual(regraded.effect?.total);
    const unknown = await club.as.maintainer.post('/analysis-runs', { platform: 'skua', policyVersion: 9 });
    expect(unknown.json()).toMatchObject({
      code: 'resource.notFound',
      detail: expect.stringContaining('grading policy'),
    });
    await made(club.as.maintainer.post(`/analysis-runs/${reread.id}/discard`, {}));
  });

  it('grades a drive uploaded meanwhile under both policies', async () => {
    await addPolicy(1000);
    await server.jobs.idle();
    const csv = syntheticDriveCsv({ flareRpm: FLARE_RPM, offsetRpm: 2 });
    const log: LogResponse = await drive(server, club.as.tester, club.vehicleId, csv);
    const run = await openRun();
    expect(run).toMatchObject({ state: 'ready', policyVersion: 4, policyInForce: 2, progress: { done: 3, total: 3 } });
    const { pairs } = (await made(
      club.as.maintainer.get(`/analysis-runs/${run.id}/logs/${log.id}`),
    )) as CandidateResponse;
    expect(
      pairs.map(({ before, after }) => [
        before?.policyVersion,
        before?.grades.includes('flare'),
        after?.policyVersion,
        after?.grades.includes('flare'),
      ]),
    ).toEqual([
      [2, true, 4, false],
      [2, true, 4, false],
    ]);
    await made(club.as.maintainer.post(`/analysis-runs/${run.id}/discard`, {}));
  });

  it('that comes into force while a log is analysed grades that log as well', async () => {
    await server.jobs.stop();
    const { log } = await made(
      club.as.tester.upload(club.vehicleId, syntheticDriveCsv({ flareRpm: FLARE_RPM, offsetRpm: 3 })),
    );
    const claimed = server.store.jobs.claim({ leaseOwner: 'test', leaseMs: 60_000 });
    if (!claimed) throw new Error('the upload queued no job');
    const before = server.store.read.shifts.ofLog(logIds[0]!);
    const artefacts = server.store.read.logs.find({}, logIds[0]!);
    const analyse = createAnalyseLog(
      {
        store: server.store,
        pool: {
          // A worker that found what the first log holds, during which a policy was made and switched to.
          analyseLog: async () => {
            await addPolicy(1000);
            await workOff(server);
            const run = await openRun();
            await made(club.as.maintainer.post(`/analysis-runs/${run.id}/switch`));
            const { sampleFindings, readFindings, quality, inspection } = artefacts!;
            return {
              kind: 'ready',
              traffics: null,
              statedCalibration: null,
              durationS: 12,
              shiftPacks: packed(before),
              lockUpPacks: { path: '', sizes: [] },
              marks: [],
              sampleFindings: sampleFindings!,
              readFindings: readFindings!,
              quality: quality!,
              inspection: inspection!,
              signalIds: [],
              drivenAtMs: undefined,
            };
          },
        },
        maxUnpackedBytes: 1e6,
        minFreeBytes: 0,
      },
      1,
    );
    const { signals } = server.store;
    const newFile = signals.newFile.bind(signals);
    Object.assign(signals, { newFile: () => ({ name: artefacts!.signalFile!, path: '' }) });
    await analyse({ ...claimed, signal: new AbortController().signal, report: () => {} });
    Object.assign(signals, { newFile });
    expect(
      (await shiftsOf(log.id)).map(({ policyVersion, grades }) => [policyVersion, grades.includes('flare')]),
    ).toEqual([
      [5, false],
      [5, false],
    ]);
    expect(server.store.fleet.verifySummaries()).toEqual([]);
  });
});

/** Does the jobs of a run by hand, while the runner of the server stands still. */
async function workOff({ store }: TestServer): Promise<void> {
  const { createRegradeLog } = await import('../src/jobs/collect-run.js');
  const regrade = createRegradeLog(store);
  for (;;) {
    const claimed = store.jobs.claim({ leaseOwner: 'by hand', leaseMs: 60_000 });
    if (!claimed) return;
    await regrade({ ...claimed, signal: new AbortController().signal, report: () => {} });
  }
}

describe('a server with a newer analysis than the results it finds', () => {
  it('begins a run by itself that reads every log again, once, and goes on with it after a restart', async () => {
    const first = await startServer();
    const { as, vehicleId } = await foundClub(first);
    const { id: logId } = await drive(first, as.tester, vehicleId, syntheticDriveCsv({ flareRpm: 200 }));
    const cookie = as.maintainer.cookie;
    await first.app.close();
    first.store.close();

    const second = await startServer({ folder: first.folder, analysisVersion: NEWER });
    const maintainer = new Client(second, cookie);
    await second.jobs.idle();
    const { items } = await made(maintainer.get('/analysis-runs'));
    expect(items).toMatchObject([
      {
        reason: 'analysis',
        state: 'ready',
        analysisVersion: NEWER,
        policyVersion: 1,
        beganByName: 'the server',
        progress: { done: 1, total: 1 },
      },
    ]);
    const run: AnalysisRunResponse = await made(maintainer.get(`/analysis-runs/${items[0].id}`));
    expect(run.effect).toMatchObject({
      logs: { analysed: 1, regraded: 0, failed: 0, changed: 0 },
      total: { before: 2, after: 2, found: 0, lost: 0, regraded: 0 },
    });
    expect((await made(maintainer.get(`/logs/${logId}`))).analysisVersion).toBe(ANALYSIS_VERSION);
    await second.app.close();
    second.store.close();

    const third = await startServer({ folder: first.folder, analysisVersion: NEWER });
    const again = new Client(third, cookie);
    expect((await made(again.get('/analysis-runs'))).items).toHaveLength(1);
    await made(again.post(`/analysis-runs/${run.id}/switch`));
    const log: LogResponse = await made(again.get(`/logs/${logId}`));
    expect(log).toMatchObject({ analysisVersion: NEWER, state: 'ready', shiftCount: 2 });
    expect((await made(again.get(`/logs/${logId}/signals?signals=inputSpeed`))).series).toHaveLength(1);
    expect(third.store.fleet.verifySummaries()).toEqual([]);
    await third.app.close();
    third.store.close();
    rmSync(first.folder, { recursive: true, force: true });
  });
});

describe('a car that is corrected', () => {
  it('has its drives analysed again: accelerations go with the tyre radius', async () => {
    const corrected = await startServer();
    const { as, vehicleId } = await foundClub(corrected);
    const { id } = await drive(corrected, as.tester, vehicleId, syntheticDriveCsv({ flareRpm: 100 }));
    const jerks = async () =>
      (await made(as.tester.get(`/logs/${id}/shifts`))).shifts.map(({ peakJerk }: ShiftRow) => peakJerk);
    const before = await jerks();
    await made(as.tester.patch(`/vehicles/${vehicleId}`, { tyreRadiusM: 0.66 }));
    expect(await made(as.tester.get(`/logs/${id}`))).toMatchObject({ showsEarlier: true, shiftCount: 2 });
    await corrected.jobs.idle();
    const after = await jerks();
    expect(before.every((jerk: number | null) => jerk !== null && jerk > 0)).toBe(true);
    for (const [index, jerk] of after.entries()) expect(jerk / before[index]).toBeCloseTo(2, 6);
    await corrected.close();
  });
});
