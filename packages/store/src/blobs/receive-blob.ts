import { createHash } from 'node:crypto';
import { type FileHandle, mkdir, open, rename, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { createGzip } from 'node:zlib';
import { StoreError } from '../store-error.js';
import { blobPath } from './blob-files.js';
import type { ReceivedBlob } from './blobs.js';
import { sayIfDiskFull, watchSpace } from './disk-space.js';
import { hashContent } from './hash-content.js';
import { HEAD_BYTES, isCompressed, isGzip } from './is-compressed.js';
import { beginPlainCopy, type PlainCopy } from './plain-copies.js';
import { syncFolder } from './sync-folder.js';

export interface ReceiveOptions {
  readonly folder: string;
  /** Name under which the bytes are gathered, unique. */
  readonly temporaryName: string;
  readonly maxBytes: number;
  readonly minFreeBytes: number;
  readonly expectedBytes: number;
}

/**
 * Bytes first, row second: write and hash, sync the file, move it into place, sync the folder. Whatever stops it
 * leaves at most a file in `incoming`, which is swept; when it ends the bytes are safe. See `BlobStore.receive`.
 */
export async function receiveBlob(stream: AsyncIterable<Uint8Array>, options: ReceiveOptions): Promise<ReceivedBlob> {
  const temporary = join(options.folder, 'incoming', options.temporaryName);
  const file = await open(temporary, 'wx').catch((error: unknown) => {
    throw sayIfDiskFull(error);
  });
  const copy = await beginPlainCopy(options);
  try {
    const received = await writeAll(stream, { file, copy }, options).finally(() => file.close());
    const path = blobPath(options.folder, received);
    if ((await mkdir(dirname(path), { recursive: true })) !== undefined) await syncFolder(dirname(dirname(path)));
    await rename(temporary, path);
    await syncFolder(dirname(path));
    await copy?.keep(received.sha256);
    return received;
  } catch (error) {
    await rm(temporary, { force: true });
    throw sayIfDiskFull(error);
  } finally {
    await copy?.drop();
  }
}

async function writeAll(
  stream: AsyncIterable<Uint8Array>,
  { file, copy }: { readonly file: FileHandle; readonly copy: PlainCopy | undefined },
  options: ReceiveOptions,
): Promise<ReceivedBlob> {
  const hash = createHash('sha256');
  let sizeBytes = 0;

  async function* measured(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
    for await (const chunk of chunks) {
      hash.update(chunk);
      sizeBytes += chunk.length;
      if (sizeBytes > options.maxBytes) throw tooLarge(options.maxBytes);
      yield chunk;
    }
  }

  const { head, rest } = await peek(watchSpace(measured(stream), options));
  const encoding = isCompressed(head) ? 'stored' : 'gzip';
  const content = isGzip(head) ? hashContent(options.maxBytes) : undefined;
  let storedBytes = 0;
  const keep = async (chunks: AsyncIterable<Uint8Array>) => {
    for await (const chunk of chunks) {
      await file.appendFile(chunk);
      await content?.push(chunk);
      storedBytes += chunk.length;
    }
  };
  try {
    if (encoding === 'stored') {
      await copy?.drop();
      await keep(rest);
    } else await pipeline(withCopy(rest, copy), createGzip({ level: 1 }), keep);
    await file.sync();
    const contentSha256 = (await content?.end()) ?? null;
    return { sha256: hash.digest('hex'), sizeBytes, storedBytes, encoding, contentSha256 };
  } finally {
    content?.stop();
  }
}

async function* withCopy(chunks: AsyncIterable<Uint8Array>, copy: PlainCopy | undefined): AsyncGenerator<Uint8Array> {
  for await (const chunk of chunks) {
    await copy?.add(chunk);
    yield chunk;
  }
}

/** The first bytes, and the whole stream again. */
async function peek(chunks: AsyncGenerator<Uint8Array>): Promise<{ head: Buffer; rest: AsyncGenerator<Uint8Array> }> {
  const taken: Uint8Array[] = [];
  let takenBytes = 0;
  while (takenBytes < HEAD_BYTES) {
    const next = await chunks.next();
    if (next.done) break;
    taken.push(next.value);
    takenBytes += next.value.length;
  }
  const head = Buffer.concat(taken);
  async function* rest(): AsyncGenerator<Uint8Array> {
    yield head;
    yield* chunks;
  }
  return { head: head.subarray(0, HEAD_BYTES), rest: rest() };
}

function tooLarge(maxBytes: number): StoreError {
  return new StoreError('too_large', `The file has more than the ${maxBytes} bytes that are allowed.`);
}
