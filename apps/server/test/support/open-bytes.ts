import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type SignalBatch, type SignalMap, suggestSignalMap } from '@syncline/drivelog';
import { type OpenOptions, openLog } from '../../src/workers/open-log.js';

const CHUNK_BYTES = 65_536;

export interface OpenedBytes {
  readonly format: string;
  readonly batches: readonly SignalBatch[];
  readonly progress: readonly number[];
  /** Files that were unpacked on disk. */
  readonly scratchFiles: readonly string[];
  /** Chunks of the file that were read. */
  readonly chunksRead: number;
}

/** Opens bytes as the worker opens an upload, and reads them by the map that their columns suggest. */
export async function openBytes(
  bytes: Uint8Array,
  options: Partial<OpenOptions> & { readonly isOnDisk?: boolean; readonly map?: SignalMap } = {},
): Promise<OpenedBytes> {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-open-'));
  const progress: number[] = [];
  let chunksRead = 0;
  const plainPath = join(folder, 'upload');
  if (options.isOnDisk) writeFileSync(plainPath, bytes);
  const file = {
    sizeBytes: bytes.length,
    plainPath: options.isOnDisk ? plainPath : undefined,
    async *open() {
      for (let at = 0; at < bytes.length; at += CHUNK_BYTES) {
        chunksRead++;
        yield bytes.subarray(at, at + CHUNK_BYTES);
      }
    },
  };
  try {
    const log = await openLog(file, {
      maxBytes: 1e9,
      scratchFolder: folder,
      minFreeBytes: 0,
      busSignals: [],
      onProgress: (share) => progress.push(share),
      ...options,
    });
    try {
      const map = options.map ?? suggestSignalMap(log.content).map ?? NO_TIME;
      const batches: SignalBatch[] = [];
      for await (const batch of log.read(map, CAR).batches) batches.push(batch);
      const scratchFiles = readdirSync(folder).filter((name) => name !== 'upload');
      return { format: log.content.format, batches, progress, scratchFiles, chunksRead };
    } finally {
      await log.close();
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const CAR = { tyreRadiusM: 0.33, finalDriveRatio: 3.7 };
const NO_TIME: SignalMap = { time: { column: 'no time column', format: 'seconds' }, signals: [] };
