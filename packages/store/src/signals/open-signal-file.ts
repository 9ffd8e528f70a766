import { type FileHandle, open } from 'node:fs/promises';
import { crc32 } from 'node:zlib';
import type { SignalId } from '@syncline/drivelog';
import { StoreError } from '../store-error.js';
import { CHUNK_SIZE, decodeColumn } from './column-codec.js';
import { type Footer, MAGIC, PLACE_FIELDS, seriesName, TRAILER_BYTES } from './file-format.js';
import { condense, type Extremes, firsts, planWindow, type WindowPlan } from './pyramid.js';
import type { SignalFile } from './signals.js';

/** Opens a finished signal file. Throws `signal_file_missing` or `signal_file_damaged`. */
export async function openSignalFile(path: string): Promise<SignalFile> {
  const handle = await openHandle(path);
  try {
    const footer = await readFooter(handle, path);
    return signalFile(new SeriesReader(handle, footer, path), footer, () => handle.close());
  } catch (error) {
    await handle.close();
    throw error;
  }
}

function signalFile(reader: SeriesReader, footer: Footer, close: () => Promise<void>): SignalFile {
  const { sampleCount, startS, endS, signalIds } = footer;
  const samples = (signalId: SignalId, startIndex: number, endIndex: number) =>
    reader.read(seriesName(signalId, ''), startIndex, endIndex);

  return {
    sampleCount,
    startS,
    endS,
    signalIds,
    indexRange: (fromS, toS) => indexRange(reader, footer, { fromS, toS }),
    close,

    async window(query) {
      const range = await indexRange(reader, footer, query);
      const plan = planWindow(range, { points: query.points, sampleCount });
      const [timeS, ...series] = await Promise.all([
        readTimes(reader, plan),
        ...query.signalIds.map(async (signalId) => ({ signalId, ...(await readExtremes(reader, signalId, plan)) })),
      ]);
      const { samplesPerPoint, startIndex, endIndex } = plan;
      return { isRaw: samplesPerPoint === 1, samplesPerPoint, startIndex, endIndex, timeS, series };
    },

    async raw(query) {
      const startIndex = Math.max(0, query.startIndex);
      const endIndex = Math.max(startIndex, Math.min(query.endIndex, sampleCount));
      const known = query.signalIds.filter((signalId) => signalIds.includes(signalId));
      const [timeS, ...columns] = await Promise.all([
        reader.read(seriesName('time', ''), startIndex, endIndex),
        ...known.map((signalId) => samples(signalId, startIndex, endIndex)),
      ]);
      return { startIndex, timeS, signals: Object.fromEntries(known.map((signalId, i) => [signalId, columns[i]])) };
    },
  };
}

/** The run between the first and the last sample whose time lies in the window. Reads few chunks, by their bounds. */
async function indexRange(
  reader: SeriesReader,
  { timeBounds }: Footer,
  { fromS, toS }: { readonly fromS: number; readonly toS: number },
): Promise<{ startIndex: number; endIndex: number }> {
  const isInside = (time: number) => time >= fromS && time <= toS;
  const candidates = timeBounds.flatMap(([low, high], chunk) => (high >= fromS && low <= toS ? [chunk] : []));
  for (const chunk of candidates) {
    const times = await reader.readChunk('time', chunk);
    const first = times.findIndex(isInside);
    if (first === -1) continue;
    for (const later of candidates.toReversed()) {
      const last = (await reader.readChunk('time', later)).findLastIndex(isInside);
      if (last !== -1) return { startIndex: chunk * CHUNK_SIZE + first, endIndex: later * CHUNK_SIZE + last + 1 };
    }
  }
  return { startIndex: 0, endIndex: 0 };
}

async function readTimes(reader: SeriesReader, plan: WindowPlan): Promise<Float64Array> {
  const { factor, samplesPerPoint } = plan;
  const name = factor === 1 ? seriesName('time', '') : seriesName('time', 'first', factor);
  return firsts(await readEntries(reader, name, plan), samplesPerPoint / factor);
}

async function readExtremes(reader: SeriesReader, signalId: SignalId, plan: WindowPlan): Promise<Extremes> {
  const { factor, samplesPerPoint } = plan;
  if (factor === 1) {
    const values = await readEntries(reader, seriesName(signalId, ''), plan);
    const extremes = { min: values, max: values };
    return samplesPerPoint === 1 ? extremes : condense(extremes, samplesPerPoint);
  }
  const [min, max] = await Promise.all([
    readEntries(reader, seriesName(signalId, 'min', factor), plan),
    readEntries(reader, seriesName(signalId, 'max', factor), plan),
  ]);
  return condense({ min, max }, samplesPerPoint / factor);
}

/** The plan's ends fall on whole entries, the last of which may be short. */
function readEntries(reader: SeriesReader, name: string, plan: WindowPlan): Promise<Float64Array> {
  return reader.read(name, plan.startIndex / plan.factor, Math.ceil(plan.endIndex / plan.factor));
}

/** Reads runs of entries of a series, whatever chunks they lie in. */
class SeriesReader {
  private readonly handle: FileHandle;
  private readonly footer: Footer;
  private readonly path: string;

  constructor(handle: FileHandle, footer: Footer, path: string) {
    this.handle = handle;
    this.footer = footer;
    this.path = path;
  }

  /** Entries `start` (inclusive) to `end` (exclusive); NaN throughout for a series that the file does not have. */
  async read(name: string, start: number, end: number): Promise<Float64Array> {
    const values = new Float64Array(end - start).fill(Number.NaN);
    if (end === start || !Object.hasOwn(this.footer.series, name)) return values;
    const first = Math.floor(start / CHUNK_SIZE);
    const count = Math.ceil(end / CHUNK_SIZE) - first;
    await Promise.all(
      Array.from({ length: count }, async (_, i) => {
        const chunkStart = (first + i) * CHUNK_SIZE;
        const chunk = await this.readChunk(name, first + i);
        const from = Math.max(start, chunkStart);
        const to = Math.min(end, chunkStart + chunk.length);
        values.set(chunk.subarray(from - chunkStart, to - chunkStart), from - start);
      }),
    );
    return values;
  }

  async readChunk(name: string, chunk: number): Promise<Float64Array> {
    const places = this.footer.series[name];
    const [offset, length, checksum] = places.slice(chunk * PLACE_FIELDS, (chunk + 1) * PLACE_FIELDS);
    try {
      const bytes = await readBytes(this.handle, offset, length);
      if (crc32(bytes) !== checksum) throw new Error('the checksum differs');
      return decodeColumn(bytes);
    } catch (cause) {
      throw damaged(this.path, `chunk ${chunk} of ${name} at byte ${offset}`, cause);
    }
  }
}

async function openHandle(path: string): Promise<FileHandle> {
  try {
    return await open(path, 'r');
  } catch (cause) {
    throw new StoreError('signal_file_missing', `There is no signal file ${path}.`, { cause });
  }
}

async function readFooter(handle: FileHandle, path: string): Promise<Footer> {
  try {
    const { size } = await handle.stat();
    if (size < MAGIC.length + TRAILER_BYTES) throw new Error(`only ${size} bytes`);
    const trailer = await readBytes(handle, size - TRAILER_BYTES, TRAILER_BYTES);
    if (!trailer.subarray(8).equals(MAGIC)) throw new Error('it does not end as a signal file');
    const length = trailer.readUInt32LE(0);
    if (length > size - MAGIC.length - TRAILER_BYTES) throw new Error(`a footer of ${length} bytes in ${size}`);
    const json = await readBytes(handle, size - TRAILER_BYTES - length, length);
    if (crc32(json) !== trailer.readUInt32LE(4)) throw new Error('the checksum differs');
    return JSON.parse(json.toString('utf8')) as Footer;
  } catch (cause) {
    throw damaged(path, 'the footer', cause);
  }
}

async function readBytes(handle: FileHandle, offset: number, length: number): Promise<Buffer> {
  const bytes = Buffer.allocUnsafe(length);
  const { bytesRead } = await handle.read(bytes, 0, length, offset);
  if (bytesRead < length) throw new Error(`expected ${length} bytes, found ${bytesRead}`);
  return bytes;
}

function damaged(path: string, place: string, cause: unknown): StoreError {
  const reason = cause instanceof Error ? cause.message : String(cause);
  return new StoreError('signal_file_damaged', `Signal file ${path} is damaged in ${place}: ${reason}.`, { cause });
}
