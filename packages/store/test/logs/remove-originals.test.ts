import { existsSync, utimesSync } from 'node:fs';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { describe, expect, it } from 'vitest';
import type { Store } from '../../src/index.js';
import { aClub, aNewShift, analyse, analysisJob, aProfile, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

const DAY_MS = 24 * 3600_000;

async function add(
  store: Store,
  vehicleId: string,
  text: string,
): Promise<{ logId: string; file: string; sha256: string }> {
  const blob = await store.blobs.receive(Readable.from([Buffer.from(text.repeat(300))]), { maxBytes: 1e6 });
  const input = { actor: SYSTEM, vehicleId, fileName: `${text}.csv`, drivenAtMs: START_MS, blob };
  const { logId } = store.logs.add({ ...input, jobFor: analysisJob });
  return { logId, sha256: blob.sha256, file: `blobs/${blob.sha256.slice(0, 2)}/${blob.sha256}.gz` };
}

function aDrivenCar() {
  const opened = openTestStore({ minFreeBytes: 0 });
  const { maintainer } = aClub(opened.store);
  const vehicleId = opened.store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  return { ...opened, vehicleId };
}

describe('originals whose time is over', () => {
  it('go once they are analysed, and what was found in them stays', async () => {
    const { store, folder, clock, vehicleId } = aDrivenCar();
    const old = await add(store, vehicleId, 'dunlin');
    analyse(store, old.logId, [aNewShift()]);
    const waiting = await add(store, vehicleId, 'knot');
    clock.nowMs += 30 * DAY_MS;
    const young = await add(store, vehicleId, 'ruff');
    const files = store.logs.removeOriginals({ actor: SYSTEM, beforeMs: clock.nowMs - 20 * DAY_MS, limit: 10 });
    expect(files).toEqual([old.file]);
    utimesSync(join(folder, old.file), 0, 0);
    store.blobs.removeFiles(files);
    expect([old, waiting, young].map(({ file }) => existsSync(join(folder, file)))).toEqual([false, true, true]);
    expect(store.read.logs.find({}, old.logId)).toMatchObject({ originalRemovedAtMs: clock.nowMs, shiftCount: 1 });
    expect(() => store.blobs.open(old.sha256)).toThrow(/was removed on 2026-03-31/);
    expect((await store.verifyData()).faults).toEqual([]);
    expect(store.read.audit.head()).toMatchObject({ action: 'log.removeOriginals' });
    expect(store.logs.removeOriginals({ actor: SYSTEM, beforeMs: clock.nowMs - 20 * DAY_MS, limit: 10 })).toEqual([]);
  });

  it('are there again when the same bytes come for another car', async () => {
    const { store, clock, vehicleId } = aDrivenCar();
    const first = await add(store, vehicleId, 'dunlin');
    analyse(store, first.logId, []);
    clock.nowMs += 30 * DAY_MS;
    store.logs.removeOriginals({ actor: SYSTEM, beforeMs: clock.nowMs, limit: 10 });
    const owner = store.read.people.list({ limit: 1 }).items[0].id;
    const other = store.vehicles.create({ actor: SYSTEM, ownerId: owner, profile: aProfile() });
    await add(store, other, 'dunlin');
    expect(store.read.logs.find({}, first.logId)?.originalRemovedAtMs).toBeNull();
    expect((await store.verifyData()).faults).toEqual([]);
  });

  it('leave a file alone that came minutes ago and may be on its way to a row', async () => {
    const { store, folder, clock, vehicleId } = aDrivenCar();
    const { file } = await add(store, vehicleId, 'dunlin');
    clock.nowMs = Date.now();
    store.blobs.removeFiles([file, 'blobs/00/none']);
    expect(existsSync(join(folder, file))).toBe(true);
  });

  it('are graded anew by a run that would read them', async () => {
    const { store, clock, vehicleId } = aDrivenCar();
    const { logId } = await add(store, vehicleId, 'dunlin');
    analyse(store, logId, [aNewShift()]);
    clock.nowMs += DAY_MS;
    store.logs.removeOriginals({ actor: SYSTEM, beforeMs: clock.nowMs, limit: 10 });
    const seen: boolean[] = [];
    store.analysisRuns.begin({
      actor: SYSTEM,
      platformId: 'tern6',
      reason: 'asked',
      analysisVersion: 1,
      policyVersion: 1,
      jobFor: (_runId, member) => {
        seen.push(member.hasOriginal);
        return null;
      },
    });
    expect(seen).toEqual([false]);
  });
});
