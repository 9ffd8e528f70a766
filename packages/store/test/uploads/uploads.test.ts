import { createHash } from 'node:crypto';
import { existsSync, readFileSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import type { NewUpload, ReceivedBlob, Store } from '../../src/index.js';
import { aBlob, aClub, analysisJob, aProfile, aTester, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

const DAY_MS = 24 * 3600_000;
const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

function aCar(store: Store, ownerId: string): string {
  return store.vehicles.create({ actor: SYSTEM, ownerId, profile: aProfile() });
}

function aClubWithCar(store: Store) {
  const personId = aClub(store).maintainer.id;
  return { personId, vehicleId: aCar(store, personId) };
}

function anUpload(owner: { personId: string; vehicleId: string }, overrides: Partial<NewUpload> = {}): NewUpload {
  return {
    ...owner,
    fileName: 'drive.csv',
    sizeBytes: 1000,
    drivenAtMs: null,
    revisionId: null,
    sha256: null,
    headSha256: null,
    startedBy: { kind: 'token', id: owner.personId, name: 'Marram (token)', requestId: 'request-7' },
    expiresAtMs: START_MS + 7 * DAY_MS,
    ...overrides,
  };
}

function addLog(store: Store, vehicleId: string, blob: ReceivedBlob): string {
  return store.logs.add({ actor: SYSTEM, vehicleId, fileName: 'a.csv', drivenAtMs: 1, blob, jobFor: analysisJob })
    .logId;
}

async function* pieces(...texts: string[]): AsyncGenerator<Uint8Array> {
  for (const text of texts) yield Buffer.from(text);
}

describe('an upload', () => {
  it('grows by what is appended, in order, and is read as a whole', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    const { id } = store.uploads.begin(anUpload(aClubWithCar(store)));
    expect(store.uploads.receivedBytes(id)).toBe(0);
    expect(await store.uploads.append(id, 0, pieces('speed;', 'load\n'))).toBe(11);
    expect(await store.uploads.append(id, 11, pieces('1;2\n'))).toBe(15);
    expect(store.uploads.receivedBytes(id)).toBe(15);
    const chunks: Buffer[] = [];
    for await (const chunk of store.uploads.openBytes(id)) chunks.push(chunk as Buffer);
    expect(Buffer.concat(chunks).toString()).toBe('speed;load\n1;2\n');
  });

  it('keeps what had come when its sender broke off', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    const { id } = store.uploads.begin(anUpload(aClubWithCar(store)));
    async function* broken() {
      yield* pieces('some', ' bytes');
      throw new Error('connection lost');
    }
    await expect(store.uploads.append(id, 0, broken())).rejects.toThrow('connection lost');
    expect(store.uploads.receivedBytes(id)).toBe(10);
  });

  it('takes nothing on a disk that is nearly full', async () => {
    const { store } = openTestStore({ minFreeBytes: 1e18 });
    const { id } = store.uploads.begin(anUpload(aClubWithCar(store)));
    await expect(store.uploads.append(id, 0, pieces('x'))).rejects.toMatchObject({ code: 'storage_full' });
  });

  it('is found with what was said of it, and ends with its log in one transaction or not at all', () => {
    const { store, clock } = openTestStore();
    const owner = aClubWithCar(store);
    const said = anUpload(owner, { drivenAtMs: 5, sha256: 'a'.repeat(64), headSha256: 'b'.repeat(64) });
    const { id } = store.uploads.begin(said);
    expect(store.read.uploads.find(id)).toEqual({
      ...said,
      id,
      vehicleTitle: 'Blue van',
      ownerId: owner.personId,
      outcome: { state: 'receiving' },
      createdAtMs: clock.nowMs,
    });
    expect(() =>
      store.transaction(() => {
        const logId = addLog(store, owner.vehicleId, aBlob(1));
        store.uploads.end(id, { state: 'done', logId, isDuplicate: false });
        throw new Error('power cut');
      }),
    ).toThrow('power cut');
    expect(store.read.uploads.find(id)?.outcome).toEqual({ state: 'receiving' });
    const logId = addLog(store, owner.vehicleId, aBlob(1));
    store.uploads.end(id, { state: 'done', logId, isDuplicate: true });
    expect(store.read.uploads.find(id)?.outcome).toEqual({ state: 'done', logId, isDuplicate: true });
    expect(store.read.uploads.listReceiving()).toEqual([]);
  });

  it('that was refused says why', () => {
    const { store } = openTestStore();
    const problem = { code: 'log.hashMismatch', detail: 'other bytes', remedy: 'Upload again.' };
    const { id } = store.uploads.begin(anUpload(aClubWithCar(store)));
    store.uploads.end(id, { state: 'refused', problem });
    expect(store.read.uploads.find(id)?.outcome).toEqual({ state: 'refused', problem });
  });

  it('is listed for its sender only, for one car when it is named', () => {
    const { store } = openTestStore();
    const owner = aClubWithCar(store);
    const other = { personId: aTester(store, 'thrift'), vehicleId: owner.vehicleId };
    const second = { ...owner, vehicleId: aCar(store, owner.personId) };
    const ids = [owner, second, other].map((whose) => store.uploads.begin(anUpload(whose)).id);
    const idsOf = (...of: Parameters<typeof store.read.uploads.listOf>) =>
      store.read.uploads.listOf(...of).map(({ id }) => id);
    expect(idsOf(owner.personId)).toEqual([ids[0], ids[1]]);
    expect(idsOf(owner.personId, second.vehicleId)).toEqual([ids[1]]);
    expect(idsOf(other.personId)).toEqual([ids[2]]);
  });

  it('that stood still until its day is forgotten with its bytes; one that went on is not', async () => {
    const { store, folder, clock } = openTestStore({ minFreeBytes: 0 });
    const owner = aClubWithCar(store);
    const [still, alive] = [store.uploads.begin(anUpload(owner)), store.uploads.begin(anUpload(owner))];
    for (const { id } of [still, alive]) await store.uploads.append(id, 0, pieces('x'));
    store.uploads.prolong(alive.id, START_MS + 8 * DAY_MS);
    clock.nowMs = START_MS + 7 * DAY_MS;
    expect(store.uploads.sweep()).toBe(1);
    expect(store.read.uploads.find(still.id)).toBeUndefined();
    expect(existsSync(join(folder, 'uploads', still.id))).toBe(false);
    expect(store.uploads.receivedBytes(alive.id)).toBe(1);
  });

  it('keeps its bytes in the sweep of files while it is awaited, however old they are', async () => {
    const { store, folder, clock } = openTestStore({ minFreeBytes: 0 });
    clock.nowMs = Date.now();
    const { id } = store.uploads.begin(anUpload(aClubWithCar(store)));
    await store.uploads.append(id, 0, pieces('kept'));
    const paths = [join(folder, 'uploads', id), join(folder, 'uploads', 'left-over')];
    writeFileSync(paths[1], 'nobody knows me');
    const old = (clock.nowMs - 2 * DAY_MS) / 1000;
    for (const path of paths) utimesSync(path, old, old);
    expect((await store.blobs.sweep()).removed).toEqual(['uploads/left-over']);
    expect(readFileSync(paths[0], 'utf8')).toBe('kept');
  });
});

describe('the room that a person takes', () => {
  it('is that of the originals for her cars, and of what is announced for them, whoever sends it', () => {
    const { store } = openTestStore();
    const owner = aClubWithCar(store);
    const thrift = aTester(store, 'thrift');
    const car = aCar(store, thrift);
    expect(store.read.uploads.roomOf(thrift)).toEqual({ storedBytes: 0, pendingBytes: 0 });
    addLog(store, car, aBlob(1));
    addLog(store, car, aBlob(2));
    addLog(store, owner.vehicleId, aBlob(2));
    store.uploads.begin(anUpload({ ...owner, vehicleId: car }, { sizeBytes: 40 }));
    const { id } = store.uploads.begin(anUpload({ personId: thrift, vehicleId: car }, { sizeBytes: 2 }));
    expect(store.read.uploads.roomOf(thrift)).toEqual({ storedBytes: 1001 + 1002, pendingBytes: 42 });
    store.uploads.remove(id);
    expect(store.read.uploads.roomOf(thrift).pendingBytes).toBe(40);
    expect(store.read.uploads.roomOf(owner.personId)).toEqual({ storedBytes: 1002, pendingBytes: 0 });
  });
});

describe('a packed file', () => {
  const text = Buffer.from('time;speed\n'.repeat(5000));
  const received = (store: Store, bytes: Uint8Array, maxBytes = 1e6) =>
    store.blobs.receive(pieces2(bytes), { maxBytes });
  async function* pieces2(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
    for (let i = 0; i < bytes.length; i += 100) yield bytes.subarray(i, i + 100);
  }

  it.each([
    ['of one member', gzipSync(text), sha256(text)],
    [
      'of two members, as RFC 1952 section 2.2 allows',
      Buffer.concat([gzipSync(text), gzipSync('more')]),
      sha256(Buffer.concat([text, Buffer.from('more')])),
    ],
    ['that is damaged', gzipSync(text).subarray(0, 60), null],
    ['that is no gzip file but text', text, null],
  ])('has the hash of what it holds taken as it comes: %s', async (_, bytes, expected) => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    expect((await received(store, bytes)).contentSha256).toBe(expected);
  });

  it('that unpacks to more than allowed is kept, and what it holds is left open', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    const bomb = gzipSync(Buffer.alloc(3_000_000));
    expect(await received(store, bomb)).toMatchObject({ sha256: sha256(bomb), contentSha256: null });
  });

  it('is the twin of the plain one and of one packed otherwise, within its car', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    const owner = aClubWithCar(store);
    const elsewhere = aCar(store, owner.personId);
    const add = async (vehicleId: string, bytes: Uint8Array) => {
      const blob = await received(store, bytes);
      const logId = addLog(store, vehicleId, blob);
      if (blob.contentSha256 !== null) store.uploads.noteContent(blob.sha256, blob.contentSha256);
      return logId;
    };
    const plain = await add(owner.vehicleId, text);
    expect(store.read.uploads.findTwin(plain)).toBeUndefined();
    const packed = await add(owner.vehicleId, gzipSync(text, { level: 1 }));
    const foreign = await add(elsewhere, gzipSync(text, { level: 9 }));
    expect(store.read.uploads.findTwin(plain)).toEqual({ id: packed, fileName: 'a.csv' });
    expect(store.read.uploads.findTwin(packed)?.id).toBe(plain);
    expect(store.read.uploads.findTwin(foreign)).toBeUndefined();
    const again = await add(elsewhere, gzipSync(text, { level: 1 }));
    expect(store.read.uploads.findTwin(again)?.id).toBe(foreign);
  });
});
