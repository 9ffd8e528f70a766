import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { DraftResponse, DraftSummary, LogSummary } from '@syncline/contract';
import { makeRandom } from '@syncline/drivetrain';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startServerProcess } from '../support/server-process.ts';
import { agreeToColumns, driveFiles, foundTernClub, uploadFile, waitForState } from '../support/tern-club.ts';
import { judgeBackups, unfinishedBackups, withStore } from './judge-backups.ts';
import { prepareReleases, type ReleaseMemory, releaseLosses, releaseOn } from './release-lane.ts';
import { type DraftMemory, draftLosses, editCar, saveDraft, uploadOn, writeNotes } from './work-lanes.ts';

/** A few in the suite; `npm run soak:faults` asks for 200, in parts with seeds of their own. */
const KILLS = Number(process.env.FAULT_KILLS ?? 8);
const SEED = process.env.FAULT_SEED ?? 'mixed';
/** After so long no further life is begun, and what was done is judged (s). */
const LONGEST_S = Number(process.env.FAULT_SECONDS ?? Number.POSITIVE_INFINITY);
/**
 * How a life ends: at any moment, or soon after a drive was taken or a release went its whole way. On a slow machine as
 * well each kind of work gets somewhere.
 */
const ENDS = ['moment', 'upload', 'release'] as const;
const LONGEST_LIFE_MS = 1500;
const LONGEST_AFTER_MS = 400;
const FILES = Math.min(40, 3 * KILLS);
const BACKUP = fileURLToPath(new URL('../../apps/server/dist/backup.js', import.meta.url));

/** What was answered before a kill. */
interface Acknowledged {
  readonly uploads: Set<number>;
  readonly notes: Set<string>;
  readonly draft: DraftMemory;
  readonly releases: ReleaseMemory;
}

interface Outcome {
  readonly faultsByLife: readonly (readonly string[])[];
  readonly acknowledged: Acknowledged;
  readonly fileNames: readonly string[];
  readonly notes: readonly string[];
  readonly releaseLosses: readonly string[];
  readonly backupFaults: ReadonlyMap<string, readonly string[]>;
  readonly interruptedLives: number;
}

describe(`a server killed at up to ${KILLS} random moments under uploads, analyses, edits, releases and backups`, () => {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-mixed-'));
  let outcome: Outcome;
  beforeAll(
    async () => {
      outcome = await torture(join(folder, 'data'), join(folder, 'backups'));
    },
    120_000 + KILLS * 20_000,
  );
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it('was interrupted while there was work of every kind, else this proves nothing', () => {
    const { interruptedLives, acknowledged } = outcome;
    expect(interruptedLives).toBeGreaterThanOrEqual(outcome.faultsByLife.length / 2);
    expect(acknowledged.notes.size).toBeGreaterThan(0);
    expect(acknowledged.uploads.size).toBeGreaterThan(1);
    expect(acknowledged.draft.version).toBeGreaterThan(1);
    const told = [...acknowledged.releases.told];
    for (const act of ['start', 'confirm', 'hold', 'resume', 'widen', 'recall']) {
      expect(
        told.some((reason) => reason.includes(`: ${act} `)),
        act,
      ).toBe(true);
    }
  });

  it('had data after every kill that fit together: database, originals, summaries, logs, releases, audit trail', () => {
    expect(outcome.faultsByLife.length).toBeGreaterThanOrEqual(ENDS.length);
    expect(outcome.faultsByLife.flat()).toEqual([]);
  });

  it('has every drive that it acknowledged, and each once', () => {
    const names = [...outcome.fileNames].sort();
    expect(new Set(names).size).toBe(names.length);
    for (const index of outcome.acknowledged.uploads) expect(names).toContain(`drive-${index}.csv`);
  });

  it('has every note that it acknowledged, once', () => {
    for (const text of outcome.acknowledged.notes) {
      expect(outcome.notes.filter((note) => note === text)).toEqual([text]);
    }
  });

  it('has every save of a draft that it acknowledged, and at most the one under way besides', () => {
    expect(outcome.acknowledged.draft.losses).toEqual([]);
  });

  it('has every release, act, download and confirmation that it acknowledged, and none twice', () => {
    expect(outcome.releaseLosses).toEqual([]);
  });

  it('left backups that are whole or have no name, and each comes back with equal hashes and no release going on', () => {
    expect(outcome.backupFaults.size).toBeGreaterThan(0);
    expect([...outcome.backupFaults.values()]).toEqual([...outcome.backupFaults].map(() => []));
  });
});

async function torture(dataFolder: string, backupFolder: string): Promise<Outcome> {
  const random = makeRandom(SEED);
  const first = await startServerProcess(dataFolder);
  const club = await foundTernClub(first.baseUrl);
  const files = driveFiles(club.car, { count: FILES, durationS: 60 });
  const mapped = await uploadFile(club.tester, club.vehicleId, files[0]!, 'drive-0.csv');
  await agreeToColumns(club, mapped.id);
  const releases = await prepareReleases(club);
  const acknowledged: Acknowledged = {
    uploads: new Set([0]),
    notes: new Set(),
    draft: await beginDraft(club),
    releases,
  };
  await first.stop();

  const faultsByLife: (readonly string[])[] = [];
  const backupFaults = new Map<string, readonly string[]>();
  let interruptedLives = 0;
  const endMs = performance.now() + LONGEST_S * 1000;
  for (let kill = 0; kill < KILLS && performance.now() < endMs; kill++) {
    const server = await startServerProcess(dataFolder);
    const [tester, maintainer] = [club.tester, club.maintainer].map((api) => api.movedTo(server.baseUrl));
    const lanes = Promise.allSettled([
      uploadOn(tester!, club.vehicleId, files, acknowledged.uploads),
      writeNotes(tester!, mapped.id, kill, acknowledged.notes),
      editCar(tester!, club),
      saveDraft(maintainer!, acknowledged.draft),
      releaseOn({ maintainer: maintainer!, tester: tester! }, releases),
    ]);
    const end = ENDS[kill % ENDS.length]!;
    await reached(end, acknowledged);
    const backup = await beginBackup(dataFolder, backupFolder);
    await sleep(random.between(0, end === 'moment' ? LONGEST_LIFE_MS : LONGEST_AFTER_MS));
    await server.kill();
    const ends = await lanes;
    // Every other one is let go on without the server that it began beside.
    if (kill % 2 === 0) await kill9(backup);
    else await endOf(backup);
    for (const end of ends) if (end.status === 'rejected') throw end.reason;
    if (ends.some((end) => end.status === 'fulfilled' && end.value === 'interrupted')) interruptedLives += 1;
    // Now, for the next one leaves only the newest of a day.
    await judgeBackups(backupFolder, backupFaults);
    faultsByLife.push(await withStore(dataFolder, async (store) => (await store.verifyData()).faults));
  }

  const last = await startServerProcess(dataFolder);
  const tester = club.tester.movedTo(last.baseUrl);
  const { items } = await tester.get<{ items: LogSummary[] }>('/logs?limit=200');
  for (const { id } of items) await waitForState(tester, id, ['ready']);
  const notes = await tester.get<{ items: { text: string }[] }>(`/logs/${mapped.id}/notes`);
  const draft = await club.maintainer.movedTo(last.baseUrl).get<DraftResponse>(`/drafts/${acknowledged.draft.id}`);
  acknowledged.draft.losses.push(...draftLosses(draft, acknowledged.draft));
  await last.stop();
  console.info(
    `${faultsByLife.length} kills, ${interruptedLives} while there was work: ${acknowledged.uploads.size} drives, ` +
      `${acknowledged.notes.size} notes, ${acknowledged.draft.version} saves, ${releases.drafted.size} releases with ` +
      `${releases.told.size} acts, ${backupFaults.size} whole backups and ${unfinishedBackups(backupFolder)} broken off`,
  );
  return {
    faultsByLife,
    acknowledged,
    fileNames: items.map(({ fileName }) => fileName),
    notes: notes.items.map(({ text }) => text),
    releaseLosses: await withStore(dataFolder, (store) => releaseLosses(store, releases)),
    backupFaults,
    interruptedLives,
  };
}

/** Waits until what the life is for was answered once more. */
async function reached(end: (typeof ENDS)[number], { uploads, releases }: Acknowledged): Promise<void> {
  const done = () => (end === 'upload' ? uploads.size : releases.completed);
  const before = done();
  // When all drives are there, the analysis of them is what is met.
  const isLeft = end === 'release' || (end === 'upload' && uploads.size < FILES);
  for (let tries = 0; tries < 6000 && isLeft && done() === before; tries++) await sleep(10);
}

async function beginDraft({ maintainer, calibrationId, revisionId }: Awaited<ReturnType<typeof foundTernClub>>) {
  const { id } = await maintainer.post<DraftSummary>(`/calibrations/${calibrationId}/drafts`, {
    parentId: revisionId,
    line: 'shoal',
  });
  const { version, contentHash } = await maintainer.get<DraftResponse>(`/drafts/${id}`);
  return { id, version, contentHash, losses: [] };
}

/** Starts the command and waits until it copies. */
async function beginBackup(dataFolder: string, backupFolder: string): Promise<ChildProcess> {
  const names = () => (existsSync(backupFolder) ? readdirSync(backupFolder).length : 0);
  const before = names();
  const child = spawn(process.execPath, [BACKUP], {
    env: { PATH: process.env.PATH, SYNCLINE_DATA: dataFolder, SYNCLINE_BACKUP_FOLDER: backupFolder },
    stdio: 'ignore',
  });
  for (let tries = 0; tries < 500 && names() === before && child.exitCode === null; tries++) await sleep(10);
  return child;
}

async function kill9(child: ChildProcess): Promise<void> {
  if (child.exitCode === null) child.kill('SIGKILL');
  await endOf(child);
}

async function endOf(child: ChildProcess): Promise<void> {
  if (child.exitCode === null && child.signalCode === null) await once(child, 'exit');
}
