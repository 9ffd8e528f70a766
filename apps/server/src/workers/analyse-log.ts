import { mkdirSync, rmSync } from 'node:fs';
import { checkSignalMap, LogFormatError, type SignalMap } from '@syncline/drivelog';
import type { StoredProblem, StoredSignalList } from '@syncline/store';
import { moveWriteLog, readOriginal, StoreError } from '@syncline/store/files';
import { checkTraffics } from '../jobs/check-capture.js';
import type { AnalysisOutcome, AnalysisProgress, AnalysisResult, AnalysisTask } from './analysis-task.js';
import { toInspectionDocument } from './describe-file.js';
import { readPieces } from './file-access.js';
import { type OpenLog, openLog } from './open-log.js';
import { readDrive } from './read-drive.js';
import { stepBack } from './step-back.js';
import type { PackedFile } from './unpack.js';
import { UnpackError } from './unpack-error.js';

const REPORT_EVERY_MS = 200;

type Report = (progress: AnalysisProgress) => void;

/**
 * Decodes and analyses one log in bounded memory. Entry point of the worker threads, which are started for each burst of
 * logs: it asks nothing of the database, and imports nothing that can.
 */
export async function analyseLog(task: AnalysisTask): Promise<AnalysisOutcome> {
  stepBack();
  // What the drive before left in the write-ahead log is moved here, so that no request waits for it.
  moveWriteLog(task.folder);
  const report: Report = (progress) => task.port.postMessage(progress);
  try {
    mkdirSync(task.scratchFolder, { recursive: true });
    const { platform, dialectId } = task.input;
    const outcome = await analyseAs(task, dialectId, report);
    const { observed } = checkTraffics(outcome.traffics ?? [], platform, task.dialects.profiles);
    if (observed === null || observed === dialectId) return outcome;
    // The capture itself says that its frames mean something else than was assumed: it is read anew.
    rmSync(task.signalPath, { force: true });
    rmSync(task.scratchFolder, { recursive: true });
    mkdirSync(task.scratchFolder);
    return await analyseAs(task, observed, report);
  } finally {
    task.port.close();
  }
}

/** Does nothing: the thread has then started and read what it needs. */
export function standBy(): void {}

/** Reads a log as one whose bus, should it be a capture, speaks a dialect. */
async function analyseAs(task: AnalysisTask, dialectId: string | null, report: Report): Promise<AnalysisOutcome> {
  const list = dialectId === null ? undefined : task.dialects.signalLists[dialectId];
  let log: OpenLog | undefined;
  try {
    log = await openLog(fileOf(task), {
      maxBytes: task.maxUnpackedBytes,
      scratchFolder: task.scratchFolder,
      minFreeBytes: task.minFreeBytes,
      busSignals: list?.signals ?? [],
      onProgress: atTimes((progress) => report({ progress, logState: 'decoding' })),
    });
    const result = await analyseFile(task, log, { dialectId, list }, report);
    return { ...result, traffics: log.traffics() };
  } catch (error) {
    return { ...asUnreadable(error), traffics: log?.traffics() ?? null };
  } finally {
    await log?.close();
  }
}

function fileOf({ input: { sizeBytes }, file }: AnalysisTask): PackedFile {
  if (file.encoding === 'stored') return { sizeBytes, open: () => readPieces(file.path), plainPath: file.path };
  return { sizeBytes, open: () => readOriginal(file), plainPath: undefined };
}

interface Dialect {
  readonly dialectId: string | null;
  readonly list: StoredSignalList | undefined;
}

async function analyseFile(
  task: AnalysisTask,
  log: OpenLog,
  dialect: Dialect,
  report: Report,
): Promise<AnalysisResult> {
  const { content } = log;
  const isCapture = content.format === 'candump';
  const inspection = toInspectionDocument(content, isCapture ? listRemarks(task, dialect) : []);
  const missing = isCapture ? (whatListLacks(task, dialect) ?? whatMapLacks(task, log)) : whatMapLacks(task, log);
  if (missing === undefined) {
    const map = task.input.signalMaps[content.format] as SignalMap;
    return await readDrive(task, log, map, inspection, report);
  }
  if (isCapture) await log.skim();
  return { kind: 'awaitingMap', inspection, ...missing };
}

function listRemarks({ input: { platform } }: AnalysisTask, { dialectId, list }: Dialect): string[] {
  return list ? [`Read by list ${list.version} of the bus signals of ${titleOf(platform, dialectId)}.`] : [];
}

function titleOf({ dialects }: AnalysisTask['input']['platform'], dialectId: string | null): string {
  return dialects.find(({ id }) => id === dialectId)?.title ?? String(dialectId);
}

/** Why no signal can be read from the frames of a capture; undefined when there is a list. */
function whatListLacks(
  { input: { platform } }: AnalysisTask,
  { dialectId, list }: Dialect,
): { problem: StoredProblem } | undefined {
  if (list !== undefined && list.signals.length > 0) return undefined;
  const code = 'busSignals.missing';
  if (dialectId === null) {
    const detail = 'It is not known which bus dialect the car speaks: none is declared, and none was observed.';
    return { problem: { code, detail, remedy: 'Declare the dialect on the page of the car.' } };
  }
  const detail = `No bus signals of ${titleOf(platform, dialectId)} (${platform.title}) were entered yet.`;
  const remedy = 'A maintainer enters them on the page of the platform; this capture is then read by itself.';
  return { problem: { code, detail, remedy } };
}

/** Why the file cannot be read with the car's signal map; undefined when it can. */
function whatMapLacks({ input }: AnalysisTask, { content }: OpenLog): { problem: StoredProblem | null } | undefined {
  const map = input.signalMaps[content.format] as SignalMap | undefined;
  if (map === undefined) return { problem: null };
  const faults = checkSignalMap(map, content, input.car).filter((fault) => fault.severity === 'error');
  if (faults.length === 0) return undefined;
  const remedy = 'Map the columns of this file, or upload one with the columns that are mapped.';
  return { problem: { code: 'signalMap.invalid', detail: faults.map((fault) => fault.message).join(' '), remedy } };
}

/** What the file itself is to blame for; every other error is a fault of ours. */
function asUnreadable(error: unknown): AnalysisResult {
  if (error instanceof LogFormatError) return { kind: 'unreadable', code: 'log.unreadable', detail: error.message };
  if (error instanceof UnpackError) return { kind: 'unreadable', code: error.code, detail: error.message };
  if (error instanceof StoreError && error.code === 'storage_full') {
    return { kind: 'unreadable', code: 'storage.full', detail: error.message };
  }
  throw error;
}

/** Passes progress on often enough for a progress bar, and no oftener. */
function atTimes(report: (share: number) => void): (share: number) => void {
  let reportedAt = Number.NEGATIVE_INFINITY;
  return (share) => {
    if (performance.now() - reportedAt <= REPORT_EVERY_MS) return;
    reportedAt = performance.now();
    report(share);
  };
}
