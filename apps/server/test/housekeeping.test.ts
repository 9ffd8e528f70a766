import { readdirSync, utimesSync } from 'node:fs';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { analysisJob } from '../src/jobs/job-kinds.js';
import { Client } from './support/client.js';
import { type Club, drive, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

/** More than go in one transaction. */
const OLD_DRIVES = 60;
const SYSTEM = { kind: 'system', id: null, name: 'test', requestId: '' } as const;

let first: TestServer;
let next: TestServer | undefined;
let club: Club;
/** Analysed in January, analysed days ago, and from January without ever having been analysed. */
let drives: { old: string; young: string; waiting: string };

beforeEach(async () => {
  first = await startServer();
  club = await foundClub(first);
  const { tester } = club.as;
  const at = (day: string) => {
    first.time.nowMs = Date.parse(`${day}T09:00:00Z`);
  };
  const driven = async (flareRpm: number) =>
    (await drive(first, tester, club.vehicleId, syntheticDriveCsv({ flareRpm }))).id as string;
  at('2026-01-10');
  const old = await driven(0);
  for (let count = 1; count < OLD_DRIVES; count++) await addOriginal(`drive ${count} `);
  settle();
  const waiting = await addOriginal('nobody has read this ');
  at('2026-02-27');
  drives = { old, waiting, young: await driven(120) };
  for (const path of originals()) utimesSync(path, 0, 0);
  await first.app.close();
  first.store.close();
});

afterEach(async () => {
  await next?.close();
  await first.close().catch(() => {});
});

async function addOriginal(text: string): Promise<string> {
  const { store } = first;
  const blob = await store.blobs.receive(Readable.from([Buffer.from(text.repeat(100))]), { maxBytes: 1e6 });
  const input = { actor: SYSTEM, vehicleId: club.vehicleId, fileName: `${text.trim()}.csv`, blob };
  const ownerId = store.read.vehicles.find({}, club.vehicleId)?.ownerId ?? '';
  const jobFor = (logId: string) => analysisJob(logId, ownerId);
  return store.logs.add({ ...input, drivenAtMs: first.time.nowMs, jobFor }).logId;
}

/** As if all had been analysed, without taking the time for it. */
function settle(): void {
  const direct = new Database(join(first.folder, 'data', 'syncline.db'));
  direct.exec(`UPDATE logs SET state = 'ready'; DELETE FROM jobs`);
  direct.close();
}

function originals(): string[] {
  return readdirSync(join(first.folder, 'data', 'blobs'), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name));
}

describe('housekeeping of originals that are kept for a while only', () => {
  it('removes all whose time is over, batch by batch, and leaves the young and those that nobody has read', async () => {
    expect(originals()).toHaveLength(OLD_DRIVES + 2);
    next = await startServer({ folder: first.folder, settings: { keepOriginalsDays: 20 } });
    const { read } = next.store;
    await vi.waitFor(() => expect(originals()).toHaveLength(2), { timeout: 30_000 });
    expect(read.logs.find({}, drives.old)).toMatchObject({
      originalRemovedAtMs: next.time.nowMs,
      state: 'ready',
      shiftCount: expect.any(Number),
    });
    for (const id of [drives.young, drives.waiting]) {
      expect(read.logs.find({}, id)?.originalRemovedAtMs).toBeNull();
    }
    const removals = read.audit.list({ limit: 50 }, { action: 'log.removeOriginals' }).items;
    expect(removals.map(({ detail }) => detail)).toEqual([
      `${OLD_DRIVES - 50} originals that came before 2026-02-09`,
      '50 originals that came before 2026-02-09',
    ]);
    expect((await next.store.verifyData()).faults).toEqual([]);
  });

  it('is told of where a file is asked for that is gone, with the day, and never as an answer to be kept', async () => {
    next = await startServer({ folder: first.folder, settings: { keepOriginalsDays: 20 } });
    const tester = new Client(next, club.as.tester.cookie);
    await vi.waitFor(() => expect(originals()).toHaveLength(2), { timeout: 30_000 });
    expect(await made(tester.get(`/logs/${drives.old}`))).toMatchObject({
      originalRemovedAt: '2026-03-01T09:00:00.000Z',
    });
    for (const refused of [
      await tester.get(`/logs/${drives.old}/original`),
      await new Client(next, club.as.maintainer.cookie).post(`/logs/${drives.old}/analysis`),
    ]) {
      expect(refused.json()).toMatchObject({
        status: 410,
        code: 'log.originalRemoved',
        detail: expect.stringContaining('was removed on 2026-03-01'),
      });
      expect(refused.headers['cache-control']).toBe('no-store');
      expect(refused.headers.etag).toBeUndefined();
    }
    expect((await tester.get(`/logs/${drives.young}/original`)).statusCode).toBe(200);
  });

  it('removes nothing where originals are kept for good', async () => {
    next = await startServer({ folder: first.folder });
    const removed = () => next?.store.read.audit.list({ limit: 1 }, { action: 'log.removeOriginals' }).totalCount;
    // Housekeeping comes to an end with the server.
    await next.app.close();
    expect(removed()).toBe(0);
    expect(originals()).toHaveLength(OLD_DRIVES + 2);
  });
});
