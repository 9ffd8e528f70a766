import { mkdirSync, readdirSync, readFileSync, truncateSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { expect, it } from 'vitest';
import type { Store } from '../../src/index.js';
import { openTestStore } from '../support/test-store.js';

const MAX_BYTES = 1e9;
const LINES = Buffer.from('time;speed\n'.repeat(1000));
/** Just large enough to be worth a copy. */
const LARGE = Buffer.alloc(2 ** 23, LINES);

async function* streamOf(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  for (let i = 0; i < bytes.length; i += 100_000) yield bytes.subarray(i, i + 100_000);
}

const receive = (store: Store, bytes: Uint8Array, expectedBytes: number | undefined = bytes.length) =>
  store.blobs.receive(streamOf(bytes), { maxBytes: MAX_BYTES, expectedBytes });

/** Each time another large file. */
const numbered = (number: number) => Buffer.concat([Buffer.from(`${number}\n`), LARGE]);

const scratchOf = (folder: string) => readdirSync(join(folder, 'scratch'));

it('a large file lies unpacked until it is taken, once', async () => {
  const { store, folder } = openTestStore({ minFreeBytes: 0 });
  const blob = await receive(store, LARGE);
  expect(blob.encoding).toBe('gzip');
  const plain = store.blobs.takePlain(blob);
  expect(plain?.encoding).toBe('stored');
  expect(readFileSync(plain!.path).equals(LARGE)).toBe(true);
  expect(store.blobs.takePlain(blob)).toBeUndefined();
  expect(scratchOf(folder)).toHaveLength(1);
});

it.each([
  ['too small', LINES, undefined],
  ['packed as it came', gzipSync(LARGE), LARGE.length],
  ['of unknown length', LARGE, 0],
  ['longer than was announced', numbered(1), LARGE.length],
  ['announced so large that the disk has no room to spare', LARGE, 1e17],
])('a file that is %s has no copy', async (_case, bytes, expectedBytes) => {
  const { store, folder } = openTestStore({ minFreeBytes: 0 });
  const blob = await receive(store, bytes, expectedBytes);
  expect(store.blobs.takePlain(blob)).toBeUndefined();
  expect(scratchOf(folder)).toEqual([]);
});

it('a file that breaks off, or is refused, leaves no copy', async () => {
  const { store, folder } = openTestStore({ minFreeBytes: 0 });
  async function* broken() {
    yield* streamOf(LARGE);
    throw new Error('connection lost');
  }
  const options = { maxBytes: MAX_BYTES, expectedBytes: 2 * LARGE.length };
  await expect(store.blobs.receive(broken(), options)).rejects.toThrow('connection lost');
  await expect(store.blobs.receive(streamOf(LARGE), { ...options, maxBytes: 1e6 })).rejects.toThrow('1000000');
  expect(scratchOf(folder)).toEqual([]);
});

it('a file is received though its copy cannot be written', async () => {
  const { store, folder } = openTestStore({ minFreeBytes: 0 });
  const blob = await receive(store, LARGE);
  const { sha256 } = blob;
  store.blobs.takePlain(blob);
  // A folder of that name keeps the copy from its place.
  mkdirSync(join(folder, 'scratch', `plain-${sha256}`));
  writeFileSync(join(folder, 'scratch', `plain-${sha256}`, 'in-the-way'), '');
  expect((await receive(store, LARGE)).sha256).toBe(sha256);
  expect(scratchOf(folder)).toHaveLength(2);
});

it('while four copies wait there is no fifth: the first are analysed first', async () => {
  const { store } = openTestStore({ minFreeBytes: 0 });
  const blobs = [];
  for (let number = 0; number < 5; number++) blobs.push(await receive(store, numbered(number)));
  expect(blobs.map((blob) => store.blobs.takePlain(blob) !== undefined)).toEqual([true, true, true, true, false]);
});

it('a copy that was cut is not taken, and one that nobody needs can be dropped', async () => {
  const { store, folder } = openTestStore({ minFreeBytes: 0 });
  const blobs = [];
  for (let number = 0; number < 3; number++) blobs.push(await receive(store, numbered(number)));
  const [cut, unneeded] = blobs;
  truncateSync(join(folder, 'scratch', `plain-${cut!.sha256}`), 1000);
  expect(store.blobs.takePlain(cut!)).toBeUndefined();
  store.blobs.dropPlain(unneeded!.sha256);
  expect(store.blobs.takePlain(unneeded!)).toBeUndefined();
  expect(scratchOf(folder)).toHaveLength(2);
  store.blobs.dropPlain();
  expect(scratchOf(folder)).toEqual([]);
});

it('a copy goes with its original, and with its day', async () => {
  const { store, folder, clock } = openTestStore({ minFreeBytes: 0 });
  const { sha256 } = await receive(store, LARGE);
  store.blobs.removeFiles([`blobs/${sha256.slice(0, 2)}/${sha256}.gz`]);
  expect(scratchOf(folder)).toEqual([]);
  await receive(store, numbered(1));
  const [name] = scratchOf(folder);
  const oldS = clock.nowMs / 1000 - 86_401;
  utimesSync(join(folder, 'scratch', name!), oldS, oldS);
  expect((await store.blobs.sweep()).removed).toContain(`scratch/${name}`);
  expect(scratchOf(folder)).toEqual([]);
});
