import { type FileHandle, open, rename, rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import { crc32 } from 'node:zlib';
import type { SignalBatch, SignalId } from '@syncline/drivelog';
import { syncFolder } from '../blobs/sync-folder.js';
import { CHUNK_SIZE, encodeColumn } from './column-codec.js';
import { type Footer, MAGIC, seriesName } from './file-format.js';
import { condense, type Extremes, firsts, LEVEL_FACTORS, runCount } from './pyramid.js';
import type { SignalFileSummary, SignalWriter } from './signals.js';

/** Packed bytes are written when there are so many: each write costs a way to another thread and back. */
const WRITE_BYTES = 1 << 20;

/**
 * Begins a signal file under a temporary name beside `path`. Memory: one chunk of each series and what is gathered for a
 * write, whatever the length. Not to be called again before the call of before has ended.
 */
export async function createSignalWriter(path: string, signalIds: readonly SignalId[]): Promise<SignalWriter> {
  const temporary = `${path}.part`;
  const file = await open(temporary, 'w');
  const chunks = new ChunkWriter(file);
  chunks.addBytes(MAGIC);
  const columns = signalIds.map((signalId) => new SignalColumn(signalId, chunks));
  const time = new TimeColumn(chunks);
  let sampleCount = 0;

  return {
    async append(batch: SignalBatch) {
      sampleCount += batch.timeS.length;
      time.append(batch.timeS);
      for (const column of columns) column.append(batch.signals[column.signalId], batch.timeS.length);
      await chunks.write(WRITE_BYTES);
    },

    async close() {
      time.end();
      for (const column of columns) column.end();
      const summary: SignalFileSummary = {
        sampleCount,
        startS: smallest(time.bounds.map(([low]) => low)),
        endS: largest(time.bounds.map(([, high]) => high)),
        signalIds: columns.filter((column) => column.hasValues).map((column) => column.signalId),
      };
      addFooter(chunks, { ...summary, timeBounds: time.bounds, series: Object.fromEntries(chunks.places) });
      await chunks.write();
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

/** Gathers packed chunks for a file and remembers where each lies. */
class ChunkWriter {
  readonly places = new Map<string, number[]>();
  private readonly file: FileHandle;
  private gathered: Buffer[] = [];
  private gatheredBytes = 0;
  private offset = 0;

  constructor(file: FileHandle) {
    this.file = file;
  }

  addChunk(series: string, values: Float64Array): void {
    const bytes = encodeColumn(values);
    const places = this.places.get(series) ?? [];
    places.push(this.offset, bytes.length, crc32(bytes));
    this.places.set(series, places);
    this.addBytes(bytes);
  }

  addBytes(bytes: Buffer): void {
    this.gathered.push(bytes);
    this.gatheredBytes += bytes.length;
    this.offset += bytes.length;
  }

  /** Writes what was gathered when it is at least so much. */
  async write(leastBytes = 0): Promise<void> {
    if (this.gatheredBytes < leastBytes) return;
    const bytes = Buffer.concat(this.gathered);
    this.gathered = [];
    this.gatheredBytes = 0;
    await this.file.appendFile(bytes);
  }
}

/** Gathers the values of one series into chunks. */
class Series {
  private readonly name: string;
  private readonly chunks: ChunkWriter;
  private readonly onChunk: (values: Float64Array) => void;
  private readonly pending = new Float64Array(CHUNK_SIZE);
  private pendingCount = 0;

  constructor(name: string, chunks: ChunkWriter, onChunk: (values: Float64Array) => void = () => {}) {
    this.name = name;
    this.chunks = chunks;
    this.onChunk = onChunk;
  }

  /** Without values, `count` missing ones. */
  append(values: Float64Array | undefined, count: number): void {
    for (let taken = 0; taken < count; ) {
      const room = Math.min(CHUNK_SIZE - this.pendingCount, count - taken);
      if (values && room === CHUNK_SIZE) {
        this.pack(values.subarray(taken, taken + room));
        taken += room;
        continue;
      }
      if (values) this.pending.set(values.subarray(taken, taken + room), this.pendingCount);
      else this.pending.fill(Number.NaN, this.pendingCount, this.pendingCount + room);
      taken += room;
      this.fill(room);
    }
  }

  /** Where the next `count` values are put by the caller, who then says that they are there. Never over the end of a chunk. */
  room(count: number): Float64Array {
    return this.pending.subarray(this.pendingCount, this.pendingCount + count);
  }

  fill(count: number): void {
    this.pendingCount += count;
    if (this.pendingCount === CHUNK_SIZE) this.end();
  }

  /** Packs what is left. */
  end(): void {
    if (this.pendingCount === 0) return;
    this.pack(this.pending.subarray(0, this.pendingCount));
    this.pendingCount = 0;
  }

  private pack(values: Float64Array): void {
    this.chunks.addChunk(this.name, values);
    this.onChunk(values);
  }
}

/** The samples of a signal with the minima and maxima of each level; each full chunk goes on to the level above it. */
class SignalColumn {
  readonly signalId: SignalId;
  hasValues = false;
  private readonly samples: Series;
  private readonly levels: readonly ExtremesLevel[];

  constructor(signalId: SignalId, chunks: ChunkWriter) {
    this.signalId = signalId;
    const levels: ExtremesLevel[] = [];
    for (let i = LEVEL_FACTORS.length - 1; i >= 0; i--) {
      const above = levels[0];
      const ratio = LEVEL_FACTORS[i + 1] / LEVEL_FACTORS[i];
      levels.unshift(
        new ExtremesLevel(signalId, LEVEL_FACTORS[i], chunks, (extremes) => above?.append(extremes, ratio)),
      );
    }
    this.levels = levels;
    this.samples = new Series(seriesName(signalId, ''), chunks, (values) => this.addLevels(values));
  }

  append(values: Float64Array | undefined, count: number): void {
    this.samples.append(values, count);
  }

  end(): void {
    this.samples.end();
    for (const level of this.levels) level.end();
  }

  private addLevels(values: Float64Array): void {
    const { min } = this.levels[0].append({ min: values, max: values }, LEVEL_FACTORS[0]);
    this.hasValues ||= min.some((value) => !Number.isNaN(value));
  }
}

/** Minima and maxima of one level. What is appended never goes over the end of a chunk, as factors divide it. */
class ExtremesLevel {
  private readonly min: Series;
  private readonly max: Series;
  private lowest: Float64Array = new Float64Array(0);

  constructor(signalId: SignalId, factor: number, chunks: ChunkWriter, onChunk: (extremes: Extremes) => void) {
    this.min = new Series(seriesName(signalId, 'min', factor), chunks, (values) => {
      this.lowest = values;
    });
    this.max = new Series(seriesName(signalId, 'max', factor), chunks, (max) => onChunk({ min: this.lowest, max }));
  }

  /** Takes each run of `ratio` entries of the level below as one, and gives what it has taken. */
  append(below: Extremes, ratio: number): Extremes {
    const count = runCount(below.min.length, ratio);
    const taken = condense(below, ratio, { min: this.min.room(count), max: this.max.room(count) });
    this.min.fill(count);
    this.max.fill(count);
    return taken;
  }

  end(): void {
    this.min.end();
    this.max.end();
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

  append(values: Float64Array): void {
    this.samples.append(values, values.length);
  }

  end(): void {
    this.samples.end();
    for (const level of this.levels) level.end();
  }

  private addLevels(values: Float64Array): void {
    const { min, max } = condense({ min: values, max: values }, CHUNK_SIZE);
    this.bounds.push([min[0], max[0]]);
    for (const [i, factor] of LEVEL_FACTORS.entries()) {
      const count = runCount(values.length, factor);
      firsts(values, factor, this.levels[i].room(count));
      this.levels[i].fill(count);
    }
  }
}

function addFooter(chunks: ChunkWriter, footer: Footer): void {
  const json = Buffer.from(JSON.stringify(footer), 'utf8');
  const trailer = Buffer.alloc(8);
  trailer.writeUInt32LE(json.length, 0);
  trailer.writeUInt32LE(crc32(json), 4);
  chunks.addBytes(Buffer.concat([json, trailer, MAGIC]));
}

function smallest(values: readonly number[]): number | null {
  return values.length === 0 ? null : values.reduce((a, b) => Math.min(a, b));
}

function largest(values: readonly number[]): number | null {
  return values.length === 0 ? null : values.reduce((a, b) => Math.max(a, b));
}
