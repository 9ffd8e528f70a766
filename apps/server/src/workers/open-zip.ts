import { basename } from 'node:path';
import { crc32 } from 'node:zlib';
import { inspectLog, LogFormatError, recogniseFormat } from '@syncline/drivelog';
import { type Entry, openPromise, type ZipFile } from 'yauzl';
import { boundBytes } from './bound-bytes.js';
import { HEAD_BYTES, takeHead } from './take-head.js';
import type { UnpackOptions } from './unpack.js';
import { UnpackError } from './unpack-error.js';

/** Entries that an archive may list, and files in it that are looked into for the one that is a log. */
const MAX_ENTRIES = 1000;
const MAX_FILES = 50;
const SHOWN_NAMES = 10;
const SHOWN_LETTERS = 80;

/** What file managers add to archives. */
const CLUTTER = /^(?:__MACOSX\/.*|(?:.*\/)?(?:\._.*|\.DS_Store|Thumbs\.db|desktop\.ini))$/i;

/**
 * The bytes of the one drive log in an archive. Which entry that is tells their content, never their names. Throws
 * `UnpackError` with the entries when there is none or more than one, and for archives that are damaged, encrypted or
 * made to swell.
 */
export async function openZip(path: string, options: UnpackOptions): Promise<AsyncGenerator<Uint8Array>> {
  const zip = await sayIfDamaged(() => openPromise(path, { autoClose: false }));
  try {
    const files = await sayIfDamaged(() => listFiles(zip));
    const entry = await chooseLog(zip, files);
    if (entry.uncompressedSize > options.maxBytes) {
      const detail = `“${shown(entry)}” unpacks to ${entry.uncompressedSize} bytes; ${options.maxBytes} are allowed.`;
      throw new UnpackError('log.tooLarge', detail);
    }
    return readEntry(zip, entry, options);
  } catch (error) {
    zip.close();
    throw error;
  }
}

async function listFiles(zip: ZipFile): Promise<Entry[]> {
  if (zip.entryCount > MAX_ENTRIES) {
    throw refusal(`The zip archive lists ${zip.entryCount} entries; at most ${MAX_ENTRIES} are looked at.`);
  }
  const files: Entry[] = [];
  for await (const entry of zip.eachEntry()) {
    if (!entry.fileName.endsWith('/') && !CLUTTER.test(entry.fileName)) files.push(entry);
  }
  if (files.length > MAX_FILES) {
    throw refusal(`The zip archive holds ${files.length} files: ${names(files)}. Upload each drive log by itself.`);
  }
  return files;
}

async function chooseLog(zip: ZipFile, files: readonly Entry[]): Promise<Entry> {
  const logs: Entry[] = [];
  const others: string[] = [];
  for (const entry of files) {
    const fault = await whyNoLog(zip, entry);
    if (fault === undefined) logs.push(entry);
    else others.push(`“${shown(entry)}” (${fault})`);
  }
  const [log] = logs;
  if (logs.length === 1) return log;
  if (logs.length > 1) {
    throw refusal(
      `The zip archive holds ${logs.length} drive logs: ${names(logs)}. Upload each by itself, or one in an archive.`,
    );
  }
  const found = others.length === 0 ? 'nothing' : others.slice(0, SHOWN_NAMES).join(', ');
  throw refusal(`The zip archive holds no drive log; in it is ${found}${others.length > SHOWN_NAMES ? ' …' : ''}.`);
}

/** Looks at the beginning of an entry; undefined when it can be a drive log. */
async function whyNoLog(zip: ZipFile, entry: Entry): Promise<string | undefined> {
  if (entry.isEncrypted()) return 'encrypted';
  if (!entry.canDecodeFileData()) return `packed by method ${entry.compressionMethod}, which is not read`;
  const { head, end } = await takeHead(streamOf(zip, entry), HEAD_BYTES);
  await end();
  const { format, reason } = recogniseFormat(head);
  if (format === 'mdf') return undefined;
  if (format === 'compressed') return `${reason}; archives inside archives are not read`;
  try {
    inspectLog(head);
    return undefined;
  } catch (error) {
    if (error instanceof LogFormatError) return error.found;
    throw error;
  }
}

async function* readEntry(
  zip: ZipFile,
  entry: Entry,
  { maxBytes, onProgress }: UnpackOptions,
): AsyncGenerator<Uint8Array> {
  let byteCount = 0;
  let checksum = 0;
  try {
    const bounded = boundBytes(streamOf(zip, entry), { maxBytes, packedBytes: () => entry.compressedSize });
    for await (const chunk of bounded) {
      byteCount += chunk.length;
      checksum = crc32(chunk, checksum);
      onProgress(Math.min(1, byteCount / entry.uncompressedSize));
      yield chunk;
    }
    if (checksum !== entry.crc32) throw damaged('the checksum of the drive log is wrong');
  } finally {
    zip.close();
  }
}

async function* streamOf(zip: ZipFile, entry: Entry): AsyncGenerator<Uint8Array> {
  const stream = await sayIfDamaged(() => zip.openReadStreamPromise(entry));
  try {
    yield* stream as AsyncIterable<Buffer>;
  } catch (error) {
    throw asDamage(error);
  } finally {
    stream.destroy();
  }
}

async function sayIfDamaged<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw asDamage(error);
  }
}

/** Faults of the archive are told as such; those of the disk, which have the code of a system call, stay faults of ours. */
function asDamage(error: unknown): unknown {
  if (!(error instanceof Error) || error instanceof UnpackError || 'syscall' in error) return error;
  return damaged(error.message, error);
}

function damaged(what: string, cause?: Error): UnpackError {
  return new UnpackError('log.unreadable', `The zip archive is damaged: ${what}.`, { cause });
}

function refusal(message: string): UnpackError {
  return new UnpackError('log.unreadable', message);
}

function names(entries: readonly Entry[]): string {
  const some = entries.slice(0, SHOWN_NAMES).map((entry) => `“${shown(entry)}”`);
  return `${some.join(', ')}${entries.length > SHOWN_NAMES ? ' …' : ''}`;
}

/** A name without what a terminal or a page might trip over. */
function shown(entry: Entry): string {
  return basename(entry.fileName).replace(/\p{C}/gu, '?').slice(0, SHOWN_LETTERS);
}
