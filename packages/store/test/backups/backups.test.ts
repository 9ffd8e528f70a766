import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, unlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { describe, expect, it } from 'vitest';
import {
  createSignalWriter,
  listBackups,
  openReadOnly,
  restoreBackup,
  type Store,
  StoreError,
  verifyBackup,
} from '../../src/index.js';
import { aClub, aNewShift, analysisJob, aProfile, aResult, claimFor, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS, type TestStore, temporaryFolder } from '../support/test-store.js';

const HOUR_MS = 3600_000;

/** A log with its bytes, its signals and a shift. */
async function addDrive(store: Store, vehicleId: string, text: string): Promise<string> {
  const blob = await store.blobs.receive(Readable.from([Buffer.from(text.repeat(200))]), { maxBytes: 1e6 });
  const { logId } = store.logs.add({
    actor: SYSTEM,
    vehicleId,
    fileName: `${text}.csv`,
    drivenAtMs: START_MS,
    blob,
    jobFor: analysisJob,
  });
  const file = store.signals.newFile(logId);
  const writer = await createSignalWriter(file.path, ['inputSpeed']);
  await writer.append({
    startIndex: 0,
    timeS: Float64Array.of(0, 1),
    signals: { inputSpeed: Float64Array.of(800, 900) },
  });
  await writer.close();
  const lease = claimFor(store, logId);
  const signalFile = { name: file.name, signalIds: ['inputSpeed' as const] };
  store.logs.replaceAnalysis(aResult({ lease, logId, shifts: [aNewShift()], signalFile }));
  return logId;
}

async function aDrivenStore(): Promise<TestStore & { readonly vehicleId: string; readonly backups: string }> {
  const opened = openTestStore({ minFreeBytes: 0 });
  const { maintainer } = aClub(opened.store);
  const vehicleId = opened.store.vehicles.create({
    actor: SYSTEM,
    ownerId: maintainer.id,
    profile: aProfile(),
  });
  await addDrive(opened.store, vehicleId, 'dunlin');
  writeFileSync(join(opened.folder, 'signing-key.pem'), 'a private key');
  return { ...opened, vehicleId, backups: temporaryFolder() };
}

async function codeOf(work: Promise<unknown>): Promise<string> {
  const error = await work.then(
    () => undefined,
    (reason: unknown) => reason,
  );
  if (error instanceof StoreError) return error.code;
  throw new Error('expected a StoreError', { cause: error });
}

describe('a backup', () => {
  it('is whole, says what is in it, and gives everything back byte for byte', async () => {
    const { store, folder, backups } = await aDrivenStore();
    const made = await store.backUp(backups);
    expect(made).toMatchObject({
      name: '2026-03-01T09-00-00Z',
      takenAtMs: START_MS,
      counts: { people: 1, vehicles: 1, logs: 1, revisions: 1 },
      auditHead: store.read.audit.head()?.hash,
      hasSigningKey: true,
      missing: [],
      fileCount: 4,
    });
    expect((await verifyBackup(made.path)).faults).toEqual([]);

    const target = join(temporaryFolder(), 'restored');
    await restoreBackup(made.path, target);
    const restored = openTestStore({ folder: target });
    const [log] = restored.store.read.logs.list({}, {}, { limit: 10 }).items;
    const original: Buffer[] = [];
    for await (const chunk of restored.store.blobs.open(log.sha256)) original.push(chunk as Buffer);
    expect(Buffer.concat(original).toString()).toBe('dunlin'.repeat(200));
    expect(await restored.store.verifyData()).toMatchObject({ faults: [], remarks: [] });
    expect(readFileSync(join(target, 'signing-key.pem'), 'utf8')).toBe('a private key');
    expect(statSync(join(target, 'signing-key.pem')).mode & 0o077).toBe(0);
    expect(readdirSync(join(target, 'signals'))).toEqual(readdirSync(join(folder, 'signals')));
  });

  it('is of one instant although the store is written to meanwhile', async () => {
    const { store, vehicleId, backups } = await aDrivenStore();
    const making = store.backUp(backups);
    for (let i = 0; i < 20; i++) {
      store.vehicles.create({
        actor: SYSTEM,
        ownerId: store.read.people.list({ limit: 1 }).items[0].id,
        profile: aProfile(),
      });
      if (i % 5 === 0) await addDrive(store, vehicleId, `knot-${i}`);
    }
    expect((await verifyBackup((await making).path)).faults).toEqual([]);
  });

  it('is made by another process beside the one that writes', async () => {
    const { store, folder, backups } = await aDrivenStore();
    const reader = openReadOnly({ folder, clock: () => START_MS });
    const made = await reader.backUp(backups);
    reader.close();
    expect((await verifyBackup(made.path)).faults).toEqual([]);
    expect(made.auditHead).toBe(store.read.audit.head()?.hash);
  });

  it('takes room for what is new only, and stays whole when the one before is removed', async () => {
    const { store, vehicleId, backups, clock } = await aDrivenStore();
    const first = await store.backUp(backups);
    clock.nowMs += HOUR_MS;
    await addDrive(store, vehicleId, 'knot');
    const second = await store.backUp(backups);
    expect({ first: first.linkedCount, second: second.linkedCount }).toEqual({ first: 0, second: 2 });
    const sameFile = (path: string) => statSync(join(first.path, path)).ino === statSync(join(second.path, path)).ino;
    const shared = readdirSync(first.path, { recursive: true, encoding: 'utf8' }).filter((name) =>
      name.startsWith('signals/'),
    );
    expect(shared.map(sameFile)).toEqual([true]);
    // The key is copied each time: what is linked must never change, and a key may be put back by hand.
    expect(sameFile('signing-key.pem')).toBe(false);
    rmSync(first.path, { recursive: true });
    expect((await verifyBackup(second.path)).faults).toEqual([]);
    expect(listBackups(backups, 10).map(({ name }) => name)).toEqual([second.name]);
  });

  it('never shares a file with the data folder, whose disk may rot', async () => {
    const { store, folder } = await aDrivenStore();
    const made = await store.backUp(join(folder, 'backups'));
    const [log] = store.read.logs.list({}, {}, { limit: 10 }).items;
    const path = join('blobs', log.sha256.slice(0, 2), `${log.sha256}.gz`);
    expect(statSync(join(folder, path)).ino).not.toBe(statSync(join(made.path, path)).ino);
  });

  it('says which files were missing, and is made all the same', async () => {
    const { store, folder, backups } = await aDrivenStore();
    const [name] = readdirSync(join(folder, 'signals'));
    unlinkSync(join(folder, 'signals', name));
    const made = await store.backUp(backups);
    expect(made.missing).toEqual([`signals/${name}`]);
    expect((await verifyBackup(made.path)).faults).toEqual([`signals/${name} was missing when the backup was made`]);
  });

  it.each([
    ['a file that was changed', (path: string, blob: string) => flipByte(join(path, blob)), /was changed: SHA-256/],
    ['a file that was cut', (path: string, blob: string) => writeFileSync(join(path, blob), 'x'), /has 1 bytes, not/],
    ['a file that is gone', (path: string, blob: string) => unlinkSync(join(path, blob)), /is missing/],
    ['a file too many', (path: string) => writeFileSync(join(path, 'more'), 'x'), /more does not belong/],
    ['a database that was changed', (path: string) => flipByte(join(path, 'syncline.db')), /^syncline.db was changed/],
  ])('that has %s is found out', async (_what, harm, words) => {
    const { store, backups } = await aDrivenStore();
    const { path } = await store.backUp(backups);
    const names = readdirSync(path, { recursive: true, encoding: 'utf8' });
    harm(path, names.find((name) => name.endsWith('.gz')) ?? '');
    const { faults } = await verifyBackup(path);
    expect(faults[0]).toMatch(words);
  });

  it('that is damaged is not restored, and leaves nothing behind', async () => {
    const { store, backups } = await aDrivenStore();
    const { path } = await store.backUp(backups);
    flipByte(join(path, 'syncline.db'));
    const target = temporaryFolder();
    expect(await codeOf(restoreBackup(path, target))).toBe('backup_unusable');
    expect(readdirSync(target)).toEqual([]);
  });

  it('is restored into a new folder only', async () => {
    const { store, backups } = await aDrivenStore();
    const { path } = await store.backUp(backups);
    const target = temporaryFolder();
    writeFileSync(join(target, 'mine.txt'), 'mine');
    expect(await codeOf(restoreBackup(path, target))).toBe('exists');
    expect(readdirSync(target)).toEqual(['mine.txt']);
  });

  it('that names files outside of its folder is not restored', async () => {
    const { store, backups } = await aDrivenStore();
    const { path } = await store.backUp(backups);
    const manifest = JSON.parse(readFileSync(join(path, 'manifest.json'), 'utf8'));
    manifest.files[1].path = '../../evil';
    writeFileSync(join(path, 'manifest.json'), JSON.stringify(manifest));
    expect(await codeOf(restoreBackup(path, join(temporaryFolder(), 'new')))).toBe('backup_unusable');
  });

  it('that broke off is no backup, and is removed after a day', async () => {
    const { store, backups, clock } = await aDrivenStore();
    const made = await store.backUp(backups);
    unlinkSync(join(made.path, 'manifest.json'));
    expect(listBackups(backups, 10)).toEqual([]);
    expect(await codeOf(verifyBackup(made.path))).toBe('backup_unusable');
    const broken = join(backups, '2026-02-28T09-00-00Z.7.part');
    mkdirSync(broken);
    clock.nowMs = Date.now() + 25 * HOUR_MS;
    await store.backUp(backups);
    expect(existsSync(broken)).toBe(false);
  });
});

function flipByte(path: string): void {
  const bytes = readFileSync(path);
  bytes[bytes.length >> 1] ^= 1;
  writeFileSync(path, bytes);
}
