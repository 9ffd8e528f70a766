import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type {
  AnalysisRun,
  AnalysisRunResponse,
  LogShiftsResponse,
  LogSummary,
  PlatformResponse,
} from '@syncline/contract';
import { makeRandom, TERN_PLATFORM } from '@syncline/drivetrain';
import { createIds } from '@syncline/server';
import { openStore } from '@syncline/store';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Api } from '../support/api.ts';
import { type ServerProcess, startServerProcess } from '../support/server-process.ts';
import { agreeToColumns, driveFiles, foundTernClub, uploadFile, waitForState } from '../support/tern-club.ts';

const DRIVES = 10;
const KILLS = 6;
/** Long enough that a kill meets readings under way; short enough to end before all are done. */
const LONGEST_LIFE_MS = 500;
/** Kills while the switch is asked for: before, within and after its transaction. */
const SWITCH_KILLS_MS = [0, 3, 8, 20];

interface Outcome {
  /** Lives that ended while logs lacked their result. */
  readonly interruptedLives: number;
  /** The run as it stood ready after the last kill. */
  readonly ready: AnalysisRunResponse;
  /** Policy versions of all shifts that pages showed: before the switch, after each kill in it, and at the end. */
  readonly versions: readonly (readonly number[])[];
  readonly end: AnalysisRunResponse;
  readonly dataFolder: string;
}

describe('a server killed while it reads every log again and while it is switched over', () => {
  const dataFolder = mkdtempSync(join(tmpdir(), 'syncline-kill-run-'));
  let outcome: Outcome;
  beforeAll(async () => {
    outcome = await torture(dataFolder);
  }, 300_000);
  afterAll(() => rmSync(dataFolder, { recursive: true, force: true }));

  it('was interrupted while there was work, else this proves nothing', () => {
    expect(outcome.interruptedLives).toBeGreaterThanOrEqual(KILLS / 2);
  });

  it('has one result of each log, which says the same as what was read before', () => {
    const { progress, effect, state } = outcome.ready;
    expect({ progress, state }).toEqual({ progress: { done: DRIVES, stuck: 0, total: DRIVES }, state: 'ready' });
    expect(effect?.logs).toMatchObject({ analysed: DRIVES, failed: 0 });
    expect(effect?.total).toMatchObject({ found: 0, lost: 0 });
    expect(effect?.total.before).toBeGreaterThan(0);
  });

  it('never showed shifts of two policies at once', () => {
    for (const versions of outcome.versions) expect([[1], [2]]).toContainEqual(versions);
    expect(outcome.versions[0]).toEqual([1]);
    expect(outcome.versions.at(-1)).toEqual([2]);
  });

  it('was switched over once, with exact summaries and every file in its place', async () => {
    expect(outcome.end.state).toBe('switched');
    const store = openStore({ folder: dataFolder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
    const switches = store.read.audit
      .list({ limit: 200 })
      .items.filter(({ action }) => action === 'analysisRun.switch');
    const { missing, altered } = await store.blobs.verify();
    const differences = store.fleet.verifySummaries();
    store.close();
    expect({ missing, altered, differences, switches: switches.length }).toEqual({
      missing: [],
      altered: [],
      differences: [],
      switches: 1,
    });
  });
});

async function torture(dataFolder: string): Promise<Outcome> {
  const random = makeRandom('kill-run');
  let server = await startServerProcess(dataFolder);
  const club = await foundTernClub(server.baseUrl);
  const maintainer = () => club.maintainer.movedTo(server.baseUrl);
  await uploadAll(club.tester, club);
  const runId = await beginStricterRun(maintainer());

  let interruptedLives = 0;
  for (let kill = 0; kill < KILLS; kill++) {
    await sleep(random.between(0, LONGEST_LIFE_MS));
    if ((await findRun(maintainer(), runId)).state === 'collecting') interruptedLives += 1;
    server = await restart(server, dataFolder);
  }
  const ready = await waitUntilReady(maintainer(), runId);
  const versions = [await shownVersions(maintainer())];
  for (const afterMs of SWITCH_KILLS_MS) {
    // Refused once an earlier one came through, cut off by the kill otherwise.
    const asked = maintainer()
      .post(`/analysis-runs/${runId}/switch`, {})
      .catch(() => undefined);
    await sleep(afterMs);
    server = await restart(server, dataFolder);
    await asked;
    versions.push(await shownVersions(maintainer()));
  }
  if ((await findRun(maintainer(), runId)).state === 'ready') {
    await maintainer().post(`/analysis-runs/${runId}/switch`, {});
  }
  versions.push(await shownVersions(maintainer()));
  const end = await findRun(maintainer(), runId);
  await server.stop();
  return { interruptedLives, ready, versions, end, dataFolder };
}

async function restart(server: ServerProcess, dataFolder: string): Promise<ServerProcess> {
  await server.kill();
  return startServerProcess(dataFolder);
}

async function uploadAll(tester: Api, club: Awaited<ReturnType<typeof foundTernClub>>): Promise<void> {
  const files = driveFiles(club.car, { count: DRIVES, durationS: 120 });
  for (const [index, bytes] of files.entries()) {
    const { id } = await uploadFile(tester, club.vehicleId, bytes, `drive-${index}.csv`);
    if (index === 0) await agreeToColumns(club, id);
  }
  const { items } = await tester.get<{ items: LogSummary[] }>('/logs?limit=50');
  for (const { id } of items) await waitForState(tester, id, ['ready']);
}

/** A policy with other limits, and a run that reads every log again and grades it by that policy. */
async function beginStricterRun(maintainer: Api): Promise<string> {
  const { policy } = await maintainer.get<PlatformResponse>(`/platforms/${TERN_PLATFORM.id}`);
  for (const limits of Object.values(policy.programs)) limits.tieUpDepth = 0.4;
  await maintainer.post(`/platforms/${TERN_PLATFORM.id}/policies`, policy);
  const run = { platform: TERN_PLATFORM.id, policyVersion: 2, reread: true };
  return (await maintainer.post<AnalysisRun>('/analysis-runs', run)).id;
}

function findRun(maintainer: Api, runId: string): Promise<AnalysisRunResponse> {
  return maintainer.get<AnalysisRunResponse>(`/analysis-runs/${runId}`);
}

async function waitUntilReady(maintainer: Api, runId: string): Promise<AnalysisRunResponse> {
  for (let tries = 0; tries < 1200; tries++) {
    const run = await findRun(maintainer, runId);
    if (run.state !== 'collecting') return run;
    await sleep(50);
  }
  throw new Error('the run never became ready');
}

async function shownVersions(maintainer: Api): Promise<number[]> {
  const { items } = await maintainer.get<{ items: LogSummary[] }>('/logs?limit=50');
  const versions = new Set<number>();
  for (const { id } of items) {
    const { shifts } = await maintainer.get<LogShiftsResponse>(`/logs/${id}/shifts`);
    for (const { policyVersion } of shifts) versions.add(policyVersion);
  }
  return [...versions].sort((a, b) => a - b);
}
