import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { LogResponse, LogShiftsResponse, LogSummary } from '@syncline/contract';
import { makeRandom } from '@syncline/drivetrain';
import { createIds } from '@syncline/server';
import { openStore } from '@syncline/store';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Api } from '../support/api.ts';
import { startServerProcess } from '../support/server-process.ts';
import {
  agreeToColumns,
  driveFiles,
  foundTernClub,
  type TernClub,
  uploadFile,
  waitForState,
} from '../support/tern-club.ts';

const KILLS = 20;
/** Long enough that a kill meets uploads, waiting jobs and analyses; short enough to end before all is done. */
const LONGEST_LIFE_MS = 900;

interface Outcome {
  readonly club: TernClub;
  readonly dataFolder: string;
  readonly files: readonly Uint8Array<ArrayBuffer>[];
  /** What the server has after the kills and a last, undisturbed run. */
  readonly logs: readonly LogResponse[];
  readonly shiftsByLog: ReadonlyMap<string, LogShiftsResponse>;
  /** The same files on a server that nothing happened to, by hash. */
  readonly undisturbed: ReadonlyMap<string, LogShiftsResponse>;
  readonly interruptedLives: number;
}

describe(`a server killed at ${KILLS} random moments during upload and analysis`, () => {
  const folders = [0, 1].map(() => mkdtempSync(join(tmpdir(), 'syncline-kill-')));
  let outcome: Outcome;

  beforeAll(async () => {
    outcome = await tortureServer(folders[0]!, folders[1]!);
  }, 600_000);
  afterAll(() => folders.forEach((folder) => rmSync(folder, { recursive: true, force: true })));

  it('was interrupted while there was work, else this proves nothing', () => {
    expect(outcome.interruptedLives).toBeGreaterThanOrEqual(KILLS / 2);
  });

  it('has every log once and lost none', () => {
    const expected = outcome.files.map(sha256).sort();
    expect(outcome.logs.map((log) => log.sha256).sort()).toEqual(expected);
  });

  it('gives each original back byte for byte', async () => {
    const { logs } = outcome;
    const store = openStore({ folder: outcome.dataFolder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
    for (const log of logs) {
      const hash = createHash('sha256');
      for await (const chunk of store.blobs.open(log.sha256)) hash.update(chunk as Uint8Array);
      expect(hash.digest('hex')).toBe(log.sha256);
    }
    store.close();
  });

  it('found in each log exactly what an undisturbed server found, no shift lost or doubled', () => {
    for (const log of outcome.logs) {
      const found = outcome.shiftsByLog.get(log.sha256)!;
      const expected = outcome.undisturbed.get(log.sha256)!;
      expect(found.shifts.map(essence)).toEqual(expected.shifts.map(essence));
      expect(found.lockUps.length).toBe(expected.lockUps.length);
    }
  });

  it('keeps blobs, rows and summaries in agreement', async () => {
    const store = openStore({ folder: outcome.dataFolder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
    const { missing, altered } = await store.blobs.verify();
    const differences = store.fleet.verifySummaries();
    store.close();
    expect({ missing, altered, differences }).toEqual({ missing: [], altered: [], differences: [] });
  });
});

async function tortureServer(dataFolder: string, quietFolder: string): Promise<Outcome> {
  const random = makeRandom('kill');
  const first = await startServerProcess(dataFolder);
  const club = await foundTernClub(first.baseUrl);
  const files = driveFiles(club.car, { count: KILLS, durationS: 120 });
  const mapped = await uploadFile(club.tester, club.vehicleId, files[0]!, 'drive-0.csv');
  await agreeToColumns(club, mapped.id);
  await first.kill();

  let interruptedLives = 0;
  const acknowledged = new Set<number>([0]);
  for (let kill = 1; kill < KILLS; kill++) {
    const server = await startServerProcess(dataFolder);
    const uploads = uploadUntilGone(club.tester.movedTo(server.baseUrl), club.vehicleId, files, acknowledged);
    await sleep(random.between(0, LONGEST_LIFE_MS));
    await server.kill();
    if ((await uploads) === 'interrupted') interruptedLives += 1;
  }

  const last = await startServerProcess(dataFolder);
  const tester = club.tester.movedTo(last.baseUrl);
  for (const [index, bytes] of files.entries()) await uploadFile(tester, club.vehicleId, bytes, `drive-${index}.csv`);
  const logs = await allReady(tester);
  const shiftsByLog = await shiftsOf(tester, logs);
  expect(await last.stop()).toBe(0);
  return {
    club,
    dataFolder,
    files,
    logs,
    shiftsByLog,
    undisturbed: await analyseQuietly(quietFolder, files),
    interruptedLives,
  };
}

/** Uploads what is not yet acknowledged, a few at once, until all is there or the server is gone. */
async function uploadUntilGone(
  api: Api,
  vehicleId: string,
  files: readonly Uint8Array<ArrayBuffer>[],
  acknowledged: Set<number>,
): Promise<'done' | 'interrupted'> {
  const pending = [...files.keys()].filter((index) => !acknowledged.has(index)).values();
  const lanes = [0, 1].map(async () => {
    for (const index of pending) {
      await uploadFile(api, vehicleId, files[index]!, `drive-${index}.csv`);
      acknowledged.add(index);
    }
  });
  const ended = await Promise.allSettled(lanes);
  if (ended.some(({ status }) => status === 'rejected')) return 'interrupted';
  // All files have arrived: what the kill meets now is analysis, if there is any left.
  try {
    for (;;) {
      const { items } = await api.get<{ items: LogSummary[] }>('/logs?limit=200');
      if (items.every(({ state }) => state === 'ready')) return 'done';
      await sleep(20);
    }
  } catch {
    return 'interrupted';
  }
}

async function allReady(api: Api): Promise<LogResponse[]> {
  const { items } = await api.get<{ items: LogSummary[] }>('/logs?limit=200');
  return Promise.all(items.map(({ id }) => waitForState(api, id, ['ready'])));
}

async function shiftsOf(api: Api, logs: readonly LogResponse[]): Promise<Map<string, LogShiftsResponse>> {
  const entries = logs.map(
    async (log) => [log.sha256, await api.get<LogShiftsResponse>(`/logs/${log.id}/shifts`)] as const,
  );
  return new Map(await Promise.all(entries));
}

async function analyseQuietly(
  folder: string,
  files: readonly Uint8Array<ArrayBuffer>[],
): Promise<Map<string, LogShiftsResponse>> {
  const server = await startServerProcess(folder);
  const club = await foundTernClub(server.baseUrl);
  const first = await uploadFile(club.tester, club.vehicleId, files[0]!, 'drive-0.csv');
  await agreeToColumns(club, first.id);
  for (const [index, bytes] of files.entries())
    await uploadFile(club.tester, club.vehicleId, bytes, `drive-${index}.csv`);
  const shifts = await shiftsOf(club.tester, await allReady(club.tester));
  await server.stop();
  return shifts;
}

function essence({
  kind,
  commandS,
  syncS,
  flareRpm,
  grades,
  startIndex,
  endIndex,
}: LogShiftsResponse['shifts'][number]) {
  return { kind, commandS, syncS, flareRpm, grades, startIndex, endIndex };
}

function sha256(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
