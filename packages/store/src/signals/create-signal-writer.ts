import { type FileHandle, open, rename, rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import { crc32 } from 'node:zlib';
import type { SignalBatch, SignalId } from '@syncline/drivelog';
import { syncFolder } from '../blobs/sync-folder.js';
import { CHUNK_SIZE, encodeColumn } from './column-codec.js';
import { type Footer, MAGIC, seriesName } from './file-format.js';
import { condense, type Extremes, firsts, LEVEL_FACTORS } from './pyramid.js';
import type { SignalFileSummary, SignalWriter } from './signals.js';

/**
 * Begins a signal file under a temporary name beside `path`. Memory: one chunk of each series, whatever the length.
 * Not to be called again before the call of before has ended.
 */
export async function createSignalWriter(path: string, signalIds: readonly SignalId[]): Promise<SignalWriter> {
  const temporary = `${path}.part`;
  const file = await open(temporary, 'w');
  const chunks = new ChunkWriter(file);
  await chunks.writeBytes(MAGIC);
  const columns = signalIds.map((signalId) => new SignalColumn(signalId, chunks));
  const time = new TimeColumn(chunks);
  let sampleCount = 0;

  return {
    async append(batch: SignalBatch) {
      sampleCount += batch.timeS.length;
      await time.append(batch.timeS);
      for (const column of columns) await column.append(batch.signals[column.signalId], batch.timeS.length);
    },

    async close() {
      await time.end();
      for (const column of columns) await column.end();
      const summary: SignalFileSummary = {
        sampleCount,
        startS: smallest(time.bounds.map(([low]) => low)),
        endS: largest(time.bounds.map(([, high]) => high)),
        signalIds: columns.filter((column) => column.hasValues).map((column) => column.signalId),
      };
      await writeFooter(chunks, { ...summary, timeBounds: time.bounds, series: Object.fromEntries(chunks.places) });
      await file.sync();
      await file.close();
      await rename(temporary, path);
      await syncFolder(dirname(path));
      return summary;
    },

    async abort() {
      await file.close();
      await rm(temporary, { force: true });
    },
  };
}

/** Appends packed chunks and remembers where each lies. */
class ChunkWriter {
  readonly places = new Map<string, number[]>();
  private readonly file: FileHandle;
  private offset = 0;

  constructor(file: FileHandle) {
    this.file = file;
  }

  async writeChunk(series: string, values: Float64Array): Promise<void> {
    const bytes = encodeColumn(values);
    const places = this.places.get(series) ?? [];
    places.push(this.offset, bytes.length, crc32(bytes));
    this.places.set(series, places);
    await this.writeBytes(bytes);
  }

  async writeBytes(bytes: Buffer): Promise<void> {
    await this.file.appendFile(bytes);
    this.offset += bytes.length;
  }
}

/** Gathers the values of one series into chunks. */
class Series {
  private readonly name: string;
  private readonly chunks: ChunkWriter;
  private readonly onChunk: (values: Float64Array) => Promise<void>;
  private readonly pending = new Float64Array(CHUNK_SIZE);
  private pendingCount = 0;

  constructor(name: string, chunks: ChunkWriter, onChunk: (values: Float64Array) => Promise<void> = async () => {}) {
    this.name = name;
    this.chunks = chunks;
    this.onChunk = onChunk;
  }

  /** Without values, `count` missing ones. */
  async append(values: Float64Array | undefined, count: number): Promise<void> {
    for (let taken = 0; taken < count; ) {
      const room = Math.min(CHUNK_SIZE - this.pendingCount, count - taken);
      if (values) this.pending.set(values.subarray(taken, taken + room), this.pendingCount);
      else this.pending.fill(Number.NaN, this.pendingCount, this.pendingCount + room);
      this.pendingCount += room;
      taken += room;
      if (this.pendingCount === CHUNK_SIZE) await this.end();
    }
  }

  /** Writes what is left. */
  async end(): Promise<void> {
    if (this.pendingCount === 0) return;
    const values = this.pending.subarray(0, this.pendingCount);
    this.pendingCount = 0;
    await this.chunks.writeChunk(this.name, values);
    await this.onChunk(values);
  }
}

/** The samples of a signal with the minima and maxima of each level. */
class SignalColumn {
  readonly signalId: SignalId;
  hasValues = false;
  private readonly samples: Series;
  private readonly levels: readonly { readonly min: Series; readonly max: Series }[];

  constructor(signalId: SignalId, chunks: ChunkWriter) {
    this.signalId = signalId;
    this.samples = new Series(seriesName(signalId, ''), chunks, (values) => this.addLevels(values));
    this.levels = LEVEL_FACTORS.map((factor) => ({
      min: new Series(seriesName(signalId, 'min', factor), chunks),
      max: new Series(seriesName(signalId, 'max', factor), chunks),
    }));
  }

  append(values: Float64Array | undefined, count: number): Promise<void> {
    return this.samples.append(values, count);
  }

  async end(): Promise<void> {
    await this.samples.end();
    for (const { min, max } of this.levels) {
      await min.end();
      await max.end();
    }
  }

  private async addLevels(values: Float64Array): Promise<void> {
    let below: Extremes = { min: values, max: values };
    let belowFactor = 1;
    for (const [i, factor] of LEVEL_FACTORS.entries()) {
      below = condense(below, factor / belowFactor);
      belowFactor = factor;
      await this.levels[i].min.append(below.min, below.min.length);
      await this.levels[i].max.append(below.max, below.max.length);
    }
    this.hasValues ||= below.min.some((value) => !Number.isNaN(value));
  }
}

/** The times with the first time of each run, and the bounds of each chunk. */
class TimeColumn {
  readonly bounds: [number, number][] = [];
  private readonly samples: Series;
  private readonly levels: readonly Series[];

  constructor(chunks: ChunkWriter) {
    this.samples = new Series(seriesName('time', ''), chunks, (values) => this.addLevels(values));
    this.levels = LEVEL_FACTORS.map((factor) => new Series(seriesName('time', 'first', factor), chunks));
  }

  append(values: Float64Array): Promise<void> {
    return this.samples.append(values, values.length);
  }

  async end(): Promise<void> {
    await this.samples.end();
    for (const level of this.levels) await level.end();
  }

  private async addLevels(values: Float64Array): Promise<void> {
    const { min, max } = condense({ min: values, max: values }, CHUNK_SIZE);
    this.bounds.push([min[0], max[0]]);
    for (const [i, factor] of LEVEL_FACTORS.entries()) {
      const firstTimes = firsts(values, factor);
      await this.levels[i].append(firstTimes, firstTimes.length);
    }
  }
}

async function writeFooter(chunks: ChunkWriter, footer: Footer): Promise<void> {
  const json = Buffer.from(JSON.stringify(footer), 'utf8');
  const trailer = Buffer.alloc(8);
  trailer.writeUInt32LE(json.length, 0);
  trailer.writeUInt32LE(crc32(json), 4);
  await chunks.writeBytes(Buffer.concat([json, trailer, MAGIC]));
}

function smallest(values: readonly number[]): number | null {
  return values.length === 0 ? null : values.reduce((a, b) => Math.min(a, b));
}

function largest(values: readonly number[]): number | null {
  return values.length === 0 ? null : values.reduce((a, b) => Math.max(a, b));
}
