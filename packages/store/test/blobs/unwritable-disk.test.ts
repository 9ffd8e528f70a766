import { existsSync, readdirSync } from 'node:fs';
import type { FileHandle } from 'node:fs/promises';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import Database from 'better-sqlite3';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { aClub, aProfile, aSession, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

/** What the disk does with the bytes that come; set by each test. */
const disk = vi.hoisted(() => ({ freeBytes: Number.POSITIVE_INFINITY, openCode: '' }));

function fault(code: string): Error {
  return Object.assign(new Error(`${code}: simulated`), { code });
}

vi.mock('node:fs/promises', async (importOriginal) => {
  const real = await importOriginal<typeof import('node:fs/promises')>();
  const open: typeof real.open = async (path, flags, mode) => {
    const isWriting = flags !== 'r' && flags !== undefined;
    if (isWriting && disk.openCode !== '') throw fault(disk.openCode);
    const file = await real.open(path, flags, mode);
    return isWriting ? limited(file) : file;
  };
  return { ...real, default: real, open };
});

/** A file whose disk takes no more than what is free, as write(2) tells it. */
function limited(file: FileHandle): FileHandle {
  const take = (bytes: number) => {
    if (bytes > disk.freeBytes) throw fault('ENOSPC');
    disk.freeBytes -= bytes;
  };
  return new Proxy(file, {
    get(target, name) {
      if (name === 'appendFile') {
        return async (data: Uint8Array) => {
          take(data.length);
          return target.appendFile(data);
        };
      }
      if (name === 'write') {
        return async (data: Uint8Array, offset: number, length: number, position: number) => {
          take(length);
          return target.write(data, offset, length, position);
        };
      }
      const value = Reflect.get(target, name) as unknown;
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
}

afterEach(() => Object.assign(disk, { freeBytes: Number.POSITIVE_INFINITY, openCode: '' }));

/** Bytes that do not compress, in pieces. */
function* noise(pieces: number) {
  for (let piece = 0; piece < pieces; piece++) {
    yield Buffer.from(Array.from({ length: 4096 }, (_, i) => (i * 2_654_435_761 * (piece + 1)) >>> 13));
  }
}

const filesOf = (folder: string) =>
  ['incoming', 'blobs'].flatMap((part) => readdirSync(join(folder, part), { recursive: true, encoding: 'utf8' }));

describe('a disk that takes no more', () => {
  it.each([0, 1, 4096, 50_000])('after %i bytes refuses the file, and nothing of it stays', async (freeBytes) => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    disk.freeBytes = freeBytes;
    const receiving = store.blobs.receive(Readable.from(noise(200)), { maxBytes: 1e9 });
    await expect(receiving).rejects.toMatchObject({ code: 'storage_full' });
    expect(filesOf(folder)).toEqual([]);
    disk.freeBytes = Number.POSITIVE_INFINITY;
    await expect(store.blobs.receive(Readable.from(noise(200)), { maxBytes: 1e9 })).resolves.toMatchObject({
      sizeBytes: 200 * 4096,
    });
  });

  it('keeps what came of an upload in pieces, which goes on once there is room', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    const { maintainer } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const upload = store.uploads.begin({
      personId: maintainer.id,
      vehicleId,
      fileName: 'long.bin',
      sizeBytes: 10 * 4096,
      drivenAtMs: null,
      revisionId: null,
      sha256: null,
      headSha256: null,
      startedBy: SYSTEM,
      expiresAtMs: START_MS + 1e9,
    });
    disk.freeBytes = 3 * 4096;
    await expect(store.uploads.append(upload.id, 0, Readable.from(noise(10)))).rejects.toMatchObject({
      code: 'storage_full',
    });
    expect(store.uploads.receivedBytes(upload.id)).toBe(3 * 4096);
    disk.freeBytes = Number.POSITIVE_INFINITY;
    const rest = [...noise(10)].slice(3);
    expect(await store.uploads.append(upload.id, 3 * 4096, Readable.from(rest))).toBe(10 * 4096);
    const bytes: Buffer[] = [];
    for await (const chunk of store.uploads.openBytes(upload.id)) bytes.push(chunk as Buffer);
    expect(Buffer.concat(bytes).equals(Buffer.concat([...noise(10)]))).toBe(true);
  });

  it('leaves no half of a backup', async () => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    await store.blobs.receive(Readable.from(noise(4)), { maxBytes: 1e9 }).then((blob) => {
      const { maintainer } = aClub(store);
      const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
      const jobFor = (logId: string) => ({ kind: 'analyseLog', inputKey: logId, logId });
      store.logs.add({ actor: SYSTEM, vehicleId, fileName: 'a', drivenAtMs: 0, blob, jobFor });
    });
    disk.freeBytes = 100;
    await expect(store.backUp(join(folder, 'backups'))).rejects.toMatchObject({ code: 'storage_full' });
    expect(readdirSync(join(folder, 'backups'))).toEqual([]);
  });

  it.each(['EROFS', 'EACCES'])('because it was mounted for reading (%s) says so', async (openCode) => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    disk.openCode = openCode;
    const receiving = store.blobs.receive(Readable.from(noise(1)), { maxBytes: 1e9 });
    await expect(receiving).rejects.toMatchObject({ code: 'storage_read_only' });
    expect(filesOf(folder)).toEqual([]);
  });

  it('refuses a write of rows whole, and goes on with sign-ins that only read', () => {
    const { store, folder } = openTestStore();
    const { maintainer } = aClub(store);
    store.close();
    expect(existsSync(join(folder, 'syncline.db'))).toBe(true);
    const direct = new Database(join(folder, 'syncline.db'));
    const pages = direct.pragma('page_count', { simple: true }) as number;
    direct.close();
    const again = openTestStore({ folder, maxDatabasePages: pages });
    const countEntries = () => again.store.read.audit.list({ limit: 1 }).totalCount;
    const before = countEntries();
    const note = 'x'.repeat(200);
    let invited = 0;
    const inviteMany = () => {
      for (; invited < 500; invited++) {
        const secretHash = `secret-${invited}`;
        again.store.people.invite({ actor: SYSTEM, role: 'tester', note, secretHash, expiresAtMs: 9e15 });
      }
    };
    expect(inviteMany).toThrow(expect.objectContaining({ code: 'SQLITE_FULL' }));
    expect(countEntries()).toBe(before + invited);
    expect(again.store.read.people.findInvitation(`secret-${invited}`)).toBeUndefined();
    expect(again.store.read.people.findSession('maintainer-token')?.person.id).toBe(maintainer.id);
    expect(() => again.store.people.touchSession('maintainer-token', aSession('').idleExpiresAtMs)).not.toThrow();
  });
});
