import { join } from 'node:path';
import { inflateSync } from 'node:zlib';
import {
  type BusSignal,
  type BusTraffic,
  CaptureTrafficCounter,
  createLogReader,
  createMdfReader,
  type Inflate,
  inspectLog,
  inspectMdf,
  type LogInspection,
  type MdfInspection,
  type ReadFindings,
  type RoadToShaft,
  readBatches,
  recogniseFormat,
  type SignalBatch,
  type SignalMap,
  statedCalibration,
} from '@syncline/drivelog';
import { spoolToFile } from '@syncline/store/files';
import { openFileAccess } from './file-access.js';
import { HEAD_BYTES, type Headed, takeHead } from './take-head.js';
import { type PackedFile, type UnpackOptions, unpack } from './unpack.js';
import { UnpackError } from './unpack-error.js';

export interface OpenOptions extends UnpackOptions {
  /** How the frames of a bus capture are read; empty when that is not known. */
  readonly busSignals: readonly BusSignal[];
}

/** A drive log of any format, ready to be read once. */
export interface OpenLog {
  /** What was understood of it. */
  readonly content: LogInspection | MdfInspection;
  /** What it says that the control unit ran; null when it does not say. */
  readonly statedCalibration: string | null;
  read(map: SignalMap, car: RoadToShaft): LogReading;
  /** Goes through the rest without reading a signal: for the traffic of a capture. */
  skim(): Promise<void>;
  /** How each bus of a capture was spoken; null for other logs, and for a capture that was not read to its end. */
  traffics(): readonly BusTraffic[] | null;
  /** Lets go of the file. */
  close(): Promise<void>;
}

export interface LogReading {
  readonly batches: AsyncIterable<SignalBatch> | Iterable<SignalBatch>;
  /** Complete after the last batch. */
  findings(): ReadFindings;
}

/** Of the work on a file that must be unpacked to be read anywhere, unpacking is about this share. */
const SPOOL_SHARE = 0.4;

const inflate: Inflate = (bytes, outputSize) => inflateSync(bytes, { maxOutputLength: Math.max(1, outputSize) });

/**
 * Unpacks a file, recognises it by its content and understands it. Throws `UnpackError`, or `LogFormatError` with what
 * was seen and what is accepted.
 */
export async function openLog(file: PackedFile, options: OpenOptions): Promise<OpenLog> {
  // How much of all the work reading these bytes is, which depends on the format.
  let readingShare = 1;
  const onProgress = (share: number) => options.onProgress(share * readingShare);
  const unpacked = await unpack(file, { ...options, onProgress });
  const headed = await takeHead(unpacked.bytes, HEAD_BYTES);
  try {
    const { format, reason } = recogniseFormat(headed.head);
    if (format === 'compressed' && unpacked.isPacked) {
      throw new UnpackError('log.unreadable', `It holds ${reason}; archives inside archives are not read.`);
    }
    if (format !== 'mdf') return openStream(headed, options);
    readingShare = unpacked.plainPath === undefined ? SPOOL_SHARE : 0;
    return await openMdf(unpacked.plainPath, headed, { ...options, firstShare: readingShare });
  } catch (error) {
    await headed.end();
    throw error;
  }
}

function openStream({ head, all, end }: Headed, { busSignals }: OpenOptions): OpenLog {
  const content = inspectLog(head, { candump: { busSignals } });
  const counter = content.format === 'candump' ? new CaptureTrafficCounter() : null;
  let isAtEnd = false;
  async function* counted(): AsyncGenerator<Uint8Array> {
    for await (const chunk of all) {
      counter?.push(chunk);
      yield chunk;
    }
    isAtEnd = true;
  }
  return {
    content,
    statedCalibration: statedCalibration(head),
    read(map, car) {
      const reader = createLogReader({ map, inspection: content, car, isLending: true });
      return { batches: readBatches(counted(), reader), findings: () => reader.findings() };
    },
    async skim() {
      for await (const _chunk of counted());
    },
    traffics: () => (counter !== null && isAtEnd ? counter.end() : null),
    close: end,
  };
}

/** MDF keeps its description anywhere in the file, so that a packed one is unpacked to disk first. */
async function openMdf(
  plainPath: string | undefined,
  { all, end }: Headed,
  options: OpenOptions & { readonly firstShare: number },
): Promise<OpenLog> {
  const { firstShare, onProgress, minFreeBytes } = options;
  const path = plainPath ?? join(options.scratchFolder, 'measurement');
  if (plainPath === undefined) await spoolToFile(all, path, { minFreeBytes });
  await end();
  const access = openFileAccess(path);
  try {
    const content = inspectMdf(access, inflate);
    return {
      content,
      statedCalibration: null,
      read(map, car) {
        const reader = createMdfReader(access, { map, inflate, car, isLending: true });
        const note = (share: number) => onProgress(firstShare + (1 - firstShare) * share);
        return { batches: withRows(reader.batches(), rowsOf(content, map), note), findings: () => reader.findings() };
      },
      skim: async () => {},
      traffics: () => null,
      close: async () => access.close(),
    };
  } catch (error) {
    access.close();
    throw error;
  }
}

/** Rows that a reading will give at most: the records of the fastest group with a mapped channel. */
function rowsOf({ groups }: MdfInspection, map: SignalMap): number {
  const mapped = new Set(map.signals.map(({ column }) => column));
  const counts = groups.filter(({ columns }) => columns.some((name) => mapped.has(name))).map((g) => g.recordCount);
  return Math.max(1, ...counts);
}

function* withRows(
  batches: Iterable<SignalBatch>,
  rowCount: number,
  note: (share: number) => void,
): Generator<SignalBatch> {
  for (const batch of batches) {
    note(Math.min(1, (batch.startIndex + batch.timeS.length) / rowCount));
    yield batch;
  }
}
