import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, unlinkSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openReadOnly, type ReceivedBlob, type Store } from '../../src/index.js';
import { aClub, aLog, analysisJob, aProfile, aResult, claimFor, SYSTEM } from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const DAY_MS = 24 * 60 * 60 * 1000;
const MAX_BYTES = 1_000_000;

async function* streamOf(bytes: Uint8Array, pieceSize = 1000): AsyncGenerator<Uint8Array> {
  for (let i = 0; i < bytes.length; i += pieceSize) yield bytes.subarray(i, i + pieceSize);
}

function sha256(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

async function readAll(stream: AsyncIterable<Buffer>): Promise<Buffer> {
  const chunks: Buffer[] = [];
  for await (const chunk of stream) chunks.push(chunk);
  return Buffer.concat(chunks);
}

/** Gives received bytes their row, as an upload does. */
function commit(store: Store, blob: ReceivedBlob): void {
  const maintainer = aClub(store).maintainer;
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  store.logs.add({ actor: SYSTEM, vehicleId, fileName: 'a.csv', drivenAtMs: 1, blob, jobFor: analysisJob });
}

function pathOf(folder: string, { sha256: hash, encoding }: ReceivedBlob): string {
  return join(folder, 'blobs', hash.slice(0, 2), encoding === 'gzip' ? `${hash}.gz` : hash);
}

/** Makes a file look as old as the clock says a day and a second is. */
function makeOld(path: string, nowMs: number): void {
  const seconds = (nowMs - DAY_MS - 1000) / 1000;
  utimesSync(path, seconds, seconds);
}

const TEXT = Buffer.from('time;speed\n'.repeat(5000));

describe('receiving a blob', () => {
  it('names it by the hash of the bytes as they came, however they were cut', async () => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(fc.uint8Array({ maxLength: 3000 }), fc.constant(TEXT), fc.constant(gzipSync(TEXT))),
        fc.integer({ min: 1, max: 2000 }),
        async (bytes, pieceSize) => {
          const blob = await store.blobs.receive(streamOf(bytes, pieceSize), { maxBytes: MAX_BYTES });
          expect(blob).toMatchObject({ sha256: sha256(bytes), sizeBytes: bytes.length });
          expect(readFileSync(pathOf(folder, blob))).toHaveLength(blob.storedBytes);
          expect(readdirSync(join(folder, 'incoming'))).toEqual([]);
        },
      ),
      { numRuns: 20 },
    );
  });

  it('gives text back byte for byte and keeps it in less space', async () => {
    const { store, folder, clock } = openTestStore({ minFreeBytes: 0 });
    const blob = await store.blobs.receive(streamOf(TEXT), { maxBytes: MAX_BYTES });
    commit(store, blob);
    expect(blob.storedBytes).toBeLessThan(TEXT.length / 10);
    expect(await readAll(store.blobs.open(blob.sha256))).toEqual(TEXT);
    const reader = openReadOnly({ folder, clock: () => clock.nowMs });
    expect(await readAll(reader.blobs.open(blob.sha256))).toEqual(TEXT);
    reader.close();
  });

  it.each([
    ['gzip', gzipSync(TEXT)],
    ['ZIP', Buffer.concat([Buffer.from('PK\x03\x04', 'latin1'), TEXT])],
    ['Zstandard', Buffer.concat([Buffer.from([0x28, 0xb5, 0x2f, 0xfd]), TEXT])],
    ['compressed MDF', Buffer.concat([Buffer.from('MDF     4.10    '), Buffer.alloc(100), Buffer.from('##DZ'), TEXT])],
  ])('keeps %s files as they are', async (_format, bytes) => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    const blob = await store.blobs.receive(streamOf(bytes, 3), { maxBytes: MAX_BYTES });
    expect(blob.encoding).toBe('stored');
    expect(readFileSync(pathOf(folder, blob))).toEqual(bytes);
    commit(store, blob);
    expect(await readAll(store.blobs.open(blob.sha256))).toEqual(bytes);
  });

  it('compresses an MDF file without compressed blocks', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    const bytes = Buffer.concat([Buffer.from('MDF     4.10    '), Buffer.alloc(5000)]);
    expect((await store.blobs.receive(streamOf(bytes), { maxBytes: MAX_BYTES })).encoding).toBe('gzip');
  });

  it('the same bytes again are the same blob', async () => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    const first = await store.blobs.receive(streamOf(TEXT, 17), { maxBytes: MAX_BYTES });
    commit(store, first);
    expect(await store.blobs.receive(streamOf(TEXT, 999), { maxBytes: MAX_BYTES })).toEqual(first);
    expect(readdirSync(join(folder, 'blobs'))).toHaveLength(1);
    expect(await readAll(store.blobs.open(first.sha256))).toEqual(TEXT);
  });

  it.each([
    ['too many bytes', 'too_large', { minFreeBytes: 0 }, TEXT.length - 1],
    ['a disk that is nearly full', 'storage_full', { minFreeBytes: 1e18 }, MAX_BYTES],
  ])('refuses %s and leaves nothing behind', async (_case, code, options, maxBytes) => {
    const { store, folder } = openTestStore(options);
    await expect(store.blobs.receive(streamOf(TEXT), { maxBytes })).rejects.toMatchObject({ code });
    expect(readdirSync(join(folder, 'incoming'))).toEqual([]);
    expect(readdirSync(join(folder, 'blobs'))).toEqual([]);
  });

  it('takes a file of exactly the allowed size', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    const blob = await store.blobs.receive(streamOf(TEXT), { maxBytes: TEXT.length });
    expect(blob.sizeBytes).toBe(TEXT.length);
  });

  it('leaves nothing of an upload that breaks off', async () => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    async function* broken() {
      yield* streamOf(Buffer.alloc(200_000, 7));
      throw new Error('connection lost');
    }
    await expect(store.blobs.receive(broken(), { maxBytes: MAX_BYTES })).rejects.toThrow('connection lost');
    expect(readdirSync(join(folder, 'incoming'))).toEqual([]);
    expect(readdirSync(join(folder, 'blobs'))).toEqual([]);
  });
});

describe('after a crash', () => {
  it('half-received bytes and blobs without a row are swept, but not before they are a day old', async () => {
    const { store, folder, clock } = openTestStore({ minFreeBytes: 0 });
    clock.nowMs = Date.now();
    const half = join(folder, 'incoming', 'half.part');
    writeFileSync(half, 'ha');
    const blob = await store.blobs.receive(streamOf(TEXT), { maxBytes: MAX_BYTES });
    expect((await store.blobs.sweep()).removed).toEqual([]);
    expect(await store.blobs.verify()).toMatchObject({ orphaned: [expect.stringContaining(blob.sha256)] });
    makeOld(half, clock.nowMs);
    makeOld(pathOf(folder, blob), clock.nowMs);
    expect((await store.blobs.sweep()).removed).toEqual(['incoming/half.part', expect.stringContaining(blob.sha256)]);
    expect(existsSync(half)).toBe(false);
  });

  it('an old blob that is received again is safe from the sweep until its row is written', async () => {
    const { store, folder, clock } = openTestStore({ minFreeBytes: 0 });
    clock.nowMs = Date.now();
    const blob = await store.blobs.receive(streamOf(TEXT), { maxBytes: MAX_BYTES });
    makeOld(pathOf(folder, blob), clock.nowMs);
    await store.blobs.receive(streamOf(TEXT), { maxBytes: MAX_BYTES });
    expect((await store.blobs.sweep()).removed).toEqual([]);
    commit(store, blob);
    makeOld(pathOf(folder, blob), clock.nowMs);
    expect((await store.blobs.sweep()).removed).toEqual([]);
    expect(await readAll(store.blobs.open(blob.sha256))).toEqual(TEXT);
  });

  it('signal files of earlier analyses are swept, the one in use stays', async () => {
    const { store, folder, clock } = openTestStore();
    clock.nowMs = Date.now();
    const { maintainer } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const logId = aLog(store, { vehicleId, seed: 1 });
    const [outdated, inUse] = [store.signals.newFile(logId), store.signals.newFile(logId)];
    for (const { path } of [outdated, inUse]) {
      writeFileSync(path, '');
      makeOld(path, clock.nowMs);
    }
    const signalFile = { name: inUse.name, signalIds: [] };
    store.logs.replaceAnalysis(aResult({ lease: claimFor(store, logId), logId, signalFile }));
    expect((await store.blobs.sweep()).removed).toEqual([`signals/${outdated.name}`]);
    expect(readdirSync(join(folder, 'signals'))).toEqual([inUse.name]);
  });
});

describe('checking the blobs', () => {
  it('finds nothing wrong when all is well', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    commit(store, await store.blobs.receive(streamOf(TEXT), { maxBytes: MAX_BYTES }));
    expect(await store.blobs.verify()).toEqual({ missing: [], altered: [], orphaned: [] });
  });

  it('finds a file that is missing, and says so when it is opened', async () => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    const blob = await store.blobs.receive(streamOf(TEXT), { maxBytes: MAX_BYTES });
    commit(store, blob);
    unlinkSync(pathOf(folder, blob));
    expect(await store.blobs.verify()).toEqual({ missing: [blob.sha256], altered: [], orphaned: [] });
    expect(() => store.blobs.open(blob.sha256)).toThrow(expect.objectContaining({ code: 'blob_missing' }));
    expect(() => store.blobs.open('0'.repeat(64))).toThrow(expect.objectContaining({ code: 'not_found' }));
  });

  it.each([
    ['one that unpacks to other bytes', gzipSync(TEXT.subarray(1))],
    ['one that does not unpack', gzipSync(TEXT).subarray(0, 40)],
  ])('finds a file that was altered: %s', async (_case, bytes) => {
    const { store, folder } = openTestStore({ minFreeBytes: 0 });
    const blob = await store.blobs.receive(streamOf(TEXT), { maxBytes: MAX_BYTES });
    commit(store, blob);
    writeFileSync(pathOf(folder, blob), bytes);
    expect(await store.blobs.verify()).toEqual({ missing: [], altered: [blob.sha256], orphaned: [] });
  });
});
