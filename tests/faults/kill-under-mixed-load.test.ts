import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { LogSummary } from '@syncline/contract';
import { makeRandom } from '@syncline/drivetrain';
import { createIds } from '@syncline/server';
import { backupNames, openStore, verifyBackup } from '@syncline/store';
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

/** A few in the suite; `npm run soak:faults` asks for 200. */
const KILLS = Number(process.env.FAULT_KILLS ?? 8);
/** Long enough that a kill meets uploads, analyses, edits and a backup (ms). */
const LONGEST_LIFE_MS = 1500;
const FILES = Math.min(40, 3 * KILLS);
const BACKUP = fileURLToPath(new URL('../../apps/server/dist/backup.js', import.meta.url));

interface Acknowledged {
  /** Indices of drives whose upload was answered. */
  readonly uploads: Set<number>;
  /** Notes whose writing was answered. */
  readonly notes: Set<string>;
}

interface Outcome {
  readonly faultsByLife: readonly (readonly string[])[];
  readonly acknowledged: Acknowledged;
  readonly fileNames: readonly string[];
  readonly notes: readonly string[];
  readonly backupFaults: ReadonlyMap<string, readonly string[]>;
  readonly unfinishedBackups: number;
  readonly interruptedLives: number;
}

describe(`a server killed at ${KILLS} random moments under uploads, analyses, edits and backups`, () => {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-mixed-'));
  let outcome: Outcome;
  beforeAll(
    async () => {
      outcome = await torture(join(folder, 'data'), join(folder, 'backups'));
    },
    120_000 + KILLS * 20_000,
  );
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it('was interrupted while there was work, else this proves nothing', () => {
    expect(outcome.interruptedLives).toBeGreaterThanOrEqual(KILLS / 2);
    expect(outcome.acknowledged.notes.size).toBeGreaterThan(0);
    expect(outcome.acknowledged.uploads.size).toBeGreaterThan(0);
  });

  it('had data after every kill that fit together: database, originals, summaries, logs, audit trail', () => {
    expect(outcome.faultsByLife).toEqual(Array(KILLS).fill([]));
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

  it('left backups that are whole, or have no name', () => {
    expect(outcome.backupFaults.size).toBeGreaterThan(0);
    expect([...outcome.backupFaults.values()]).toEqual([...outcome.backupFaults].map(() => []));
  });
});

async function torture(dataFolder: string, backupFolder: string): Promise<Outcome> {
  const random = makeRandom('mixed');
  const first = await startServerProcess(dataFolder);
  const club = await foundTernClub(first.baseUrl);
  const files = driveFiles(club.car, { count: FILES, durationS: 60 });
  const mapped = await uploadFile(club.tester, club.vehicleId, files[0]!, 'drive-0.csv');
  await agreeToColumns(club, mapped.id);
  await first.stop();

  const acknowledged: Acknowledged = { uploads: new Set([0]), notes: new Set() };
  const faultsByLife: (readonly string[])[] = [];
  let interruptedLives = 0;
  for (let kill = 0; kill < KILLS; kill++) {
    const server = await startServerProcess(dataFolder);
    const tester = club.tester.movedTo(server.baseUrl);
    const lanes = [
      uploadOn(tester, club, files, acknowledged),
      writeNotes(tester, mapped.id, kill, acknowledged),
      editCar(tester, club),
    ];
    const backup = await beginBackup(dataFolder, backupFolder);
    await sleep(random.between(50, LONGEST_LIFE_MS));
    await server.kill();
    const ends = await Promise.all(lanes);
    // Every other one is let go on without the server that it began beside.
    if (kill % 2 === 0) await kill9(backup);
    else await endOf(backup);
    if (ends.includes('interrupted')) interruptedLives += 1;
    faultsByLife.push(await faultsOf(dataFolder));
  }

  const last = await startServerProcess(dataFolder);
  const tester = club.tester.movedTo(last.baseUrl);
  const { items } = await tester.get<{ items: LogSummary[] }>('/logs?limit=200');
  for (const { id } of items) await waitForState(tester, id, ['ready']);
  const notes = await tester.get<{ items: { text: string }[] }>(`/logs/${mapped.id}/notes`);
  await last.stop();
  return {
    faultsByLife,
    acknowledged,
    fileNames: items.map(({ fileName }) => fileName),
    notes: notes.items.map(({ text }) => text),
    interruptedLives,
    ...(await judgeBackups(backupFolder)),
  };
}

type End = 'done' | 'interrupted';

/** Runs until the server is gone. */
async function untilGone(work: () => Promise<boolean>): Promise<End> {
  try {
    while (await work());
    return 'done';
  } catch {
    return 'interrupted';
  }
}

function uploadOn(
  tester: Api,
  { vehicleId }: TernClub,
  files: readonly Uint8Array<ArrayBuffer>[],
  { uploads }: Acknowledged,
): Promise<End> {
  return untilGone(async () => {
    const index = [...files.keys()].find((candidate) => !uploads.has(candidate));
    if (index === undefined) return false;
    await uploadFile(tester, vehicleId, files[index]!, `drive-${index}.csv`);
    uploads.add(index);
    return true;
  });
}

function writeNotes(tester: Api, logId: string, life: number, { notes }: Acknowledged): Promise<End> {
  let count = 0;
  return untilGone(async () => {
    const text = `life ${life}, note ${count++}`;
    await tester.post(`/logs/${logId}/notes`, { atS: count % 50, text });
    notes.add(text);
    await sleep(20);
    return true;
  });
}

/** A mass that enters measures: every log of the car is analysed anew, while others come in. */
function editCar(tester: Api, { vehicleId }: TernClub): Promise<End> {
  let count = 0;
  return untilGone(async () => {
    await tester.patch(`/vehicles/${vehicleId}`, { ratedInputTorqueNm: 330 + (count++ % 7) });
    await sleep(150);
    return true;
  });
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

async function faultsOf(dataFolder: string): Promise<readonly string[]> {
  const store = openStore({ folder: dataFolder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
  try {
    return (await store.verifyData()).faults;
  } finally {
    store.close();
  }
}

async function judgeBackups(backupFolder: string) {
  const backupFaults = new Map<string, readonly string[]>();
  for (const name of backupNames(backupFolder)) {
    backupFaults.set(name, (await verifyBackup(join(backupFolder, name))).faults);
  }
  const unfinishedBackups = readdirSync(backupFolder).filter((name) => name.endsWith('.part')).length;
  return { backupFaults, unfinishedBackups };
}
