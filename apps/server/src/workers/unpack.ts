import { join } from 'node:path';
import { Readable } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { spoolToFile } from '@syncline/store/files';
import { boundBytes } from './bound-bytes.js';
import { openZip } from './open-zip.js';
import { takeHead } from './take-head.js';
import { UnpackError } from './unpack-error.js';

/** Unpacked at once: smaller pieces cost more to hand on than to unpack. */
const PIECE_BYTES = 1 << 18;

/** A file as it was uploaded. */
export interface PackedFile {
  readonly sizeBytes: number;
  open(): AsyncIterable<Uint8Array>;
  /** Where it lies on disk as it came; undefined when it does not. */
  readonly plainPath: string | undefined;
}

export interface UnpackOptions {
  /** A file that unpacks to more is refused. */
  readonly maxBytes: number;
  /** Folder for what must be unpacked to be read; exists, and is removed by the caller. */
  readonly scratchFolder: string;
  /** Free space that unpacking must leave. */
  readonly minFreeBytes: number;
  /** Told the share of the file that was read, 0 to 1. */
  readonly onProgress: (share: number) => void;
}

/** The content of a file. Whoever begins to read the bytes ends them, which lets go of everything. */
export interface Unpacked {
  readonly bytes: AsyncGenerator<Uint8Array>;
  /** Where the content itself lies on disk; undefined when it is packed. */
  readonly plainPath: string | undefined;
  readonly isPacked: boolean;
}

/** Unpacks what is gzip or zip by its first bytes; a zip archive must hold one drive log. Throws `UnpackError`. */
export async function unpack(file: PackedFile, options: UnpackOptions): Promise<Unpacked> {
  const { maxBytes, onProgress } = options;
  let packedBytes = 0;
  const counted = withCount(file.open(), (count) => {
    packedBytes = count;
    onProgress(Math.min(1, count / file.sizeBytes));
  });
  const { head, all, end } = await takeHead(counted, 4);
  if (isZip(head)) {
    await end();
    return { bytes: await openZip(await onDisk(file, options), options), plainPath: undefined, isPacked: true };
  }
  const isGzip = head[0] === 0x1f && head[1] === 0x8b;
  const bytes = boundBytes(isGzip ? gunzip(all) : all, { maxBytes, packedBytes: () => packedBytes });
  return { bytes, plainPath: isGzip ? undefined : file.plainPath, isPacked: isGzip };
}

/** A zip archive with entries, or without any. */
function isZip(head: Uint8Array): boolean {
  const [p, k, third, fourth] = head;
  return p === 0x50 && k === 0x4b && ((third === 3 && fourth === 4) || (third === 5 && fourth === 6));
}

/** The list of an archive stands at its end, so that it is read in place. */
async function onDisk(file: PackedFile, { scratchFolder, minFreeBytes }: UnpackOptions): Promise<string> {
  if (file.plainPath !== undefined) return file.plainPath;
  const path = join(scratchFolder, 'archive');
  await spoolToFile(file.open(), path, { minFreeBytes });
  return path;
}

async function* withCount(
  source: AsyncIterable<Uint8Array>,
  note: (byteCount: number) => void,
): AsyncGenerator<Uint8Array> {
  let byteCount = 0;
  for await (const chunk of source) {
    byteCount += chunk.length;
    note(byteCount);
    yield chunk;
  }
}

async function* gunzip(packed: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  const source = Readable.from(packed, { objectMode: false });
  const unpacker = createGunzip({ chunkSize: PIECE_BYTES });
  source.on('error', (error) => unpacker.destroy(error)).pipe(unpacker);
  try {
    yield* unpacker;
  } catch (error) {
    if (!isZlibError(error)) throw error;
    throw new UnpackError('log.unreadable', `The gzip data are damaged: ${error.message}.`, { cause: error });
  } finally {
    source.destroy();
  }
}

function isZlibError(error: unknown): error is Error & { readonly code: string } {
  return error instanceof Error && 'code' in error && String(error.code).startsWith('Z_');
}
