import {
  type CsvInspection,
  checkSignalMap,
  createCsvReader,
  INDISPENSABLE_SIGNALS,
  inspectCsv,
  LogFormatError,
  readBatches,
  SIGNAL_IDS,
  type SignalId,
  type SignalMap,
} from '@syncline/drivelog';
import { createShiftFinder, type FoundEvents, type LockUpEpisode, type Shift } from '@syncline/shifts';
import { createSignalWriter, openReadOnly, type StoredProblem } from '@syncline/store';
import { toNewShift } from '../jobs/assess-shift.js';
import type { AnalysisOutcome, AnalysisProgress, AnalysisTask, Found } from './analysis-task.js';
import { toInspectionDocument, toReadFindingsDocument } from './describe-file.js';
import { findOverflow } from './find-overflow.js';
import { takeHead } from './take-head.js';
import { UnpackError, unpack } from './unpack.js';

/** The beginning that is looked at before anything of a file is believed. */
const HEAD_BYTES = 1 << 18;
const REPORT_EVERY_MS = 200;

/** Decodes and analyses one log in bounded memory. Entry point of the worker threads. */
export async function analyseLog(task: AnalysisTask): Promise<AnalysisOutcome> {
  const store = openReadOnly({ folder: task.folder, clock: Date.now });
  const { sha256, sizeBytes } = task.input;
  const report = (progress: AnalysisProgress) => task.port.postMessage(progress);
  try {
    const packed = withProgress(store.blobs.open(sha256), sizeBytes, report);
    const { head, all } = await takeHead(unpack(packed, { maxBytes: task.maxUnpackedBytes }), HEAD_BYTES);
    return await analyseFile(task, head, all, report);
  } catch (error) {
    if (error instanceof LogFormatError) return { kind: 'unreadable', code: 'log.unreadable', detail: error.message };
    if (error instanceof UnpackError) return { kind: 'unreadable', code: error.code, detail: error.message };
    throw error;
  } finally {
    task.port.close();
    store.close();
  }
}

async function analyseFile(
  task: AnalysisTask,
  head: Uint8Array,
  bytes: AsyncGenerator<Uint8Array>,
  report: (progress: AnalysisProgress) => void,
): Promise<AnalysisOutcome> {
  try {
    const inspection = inspectCsv(head);
    const missing = whatMapLacks(task, inspection);
    if (missing) return { kind: 'awaitingMap', inspection: toInspectionDocument(inspection), ...missing };
    return await readDrive(task, inspection, bytes, report);
  } finally {
    await bytes.return(undefined);
  }
}

/** Why the file cannot be read with the car's signal map; undefined when it can. */
function whatMapLacks(
  { input }: AnalysisTask,
  inspection: CsvInspection,
): { problem: StoredProblem | null } | undefined {
  if (input.signalMap === null) return { problem: null };
  const faults = checkSignalMap(input.signalMap as SignalMap, inspection, input.car).filter(
    (fault) => fault.severity === 'error',
  );
  if (faults.length === 0) return undefined;
  const remedy = 'Map the columns of this file, or upload one with the columns that are mapped.';
  return { problem: { code: 'signalMap.invalid', detail: faults.map((fault) => fault.message).join(' '), remedy } };
}

/** One pass: each batch of samples goes to the signal file and to the shift finder, and is let go. */
async function readDrive(
  { input, signalPath }: AnalysisTask,
  inspection: CsvInspection,
  bytes: AsyncIterable<Uint8Array>,
  report: (progress: AnalysisProgress) => void,
): Promise<AnalysisOutcome> {
  const { platform, policy, car } = input;
  const map = input.signalMap as SignalMap;
  const mapped = SIGNAL_IDS.filter((id) => map.signals.some((entry) => entry.signal === id));
  const reader = createCsvReader({ map, inspection, car });
  const finder = createShiftFinder({ platform, car, options: { policy } });
  const writer = await createSignalWriter(signalPath, mapped);
  const shifts: Shift[] = [];
  const lockUps: LockUpEpisode[] = [];
  const keep = (found: FoundEvents) => {
    shifts.push(...found.shifts);
    lockUps.push(...found.lockUps);
  };
  try {
    for await (const batch of readBatches(bytes, reader)) {
      await writer.append(batch);
      keep(finder.push(batch));
    }
    report({ progress: 1, logState: 'analysing' });
    keep(finder.end());
    const sampleFindings = finder.findings();
    const overflow = findOverflow(sampleFindings.durationS, [...shifts, ...lockUps]);
    if (overflow !== undefined) {
      await writer.abort();
      return { kind: 'unreadable', code: 'log.unreadable', detail: overflow };
    }
    const { signalIds } = await writer.close();
    const readFindings = reader.findings();
    const { startInstant } = readFindings;
    return judge(mapped, {
      durationS: sampleFindings.durationS,
      shifts: shifts.map((shift) => toNewShift(shift, car, policy, platform)),
      lockUps,
      sampleFindings,
      readFindings: toReadFindingsDocument(readFindings),
      inspection: toInspectionDocument(inspection),
      signalIds,
      drivenAtMs: startInstant?.hasZone ? startInstant.utcMs : undefined,
    });
  } catch (error) {
    await writer.abort();
    throw error;
  }
}

/** Whether what was read can be graded, and if not whether another signal map would help. */
function judge(mapped: readonly SignalId[], found: Found): AnalysisOutcome {
  const { tooSlowForTiming, medianIntervalS, missingSignals } = found.sampleFindings;
  if (tooSlowForTiming) {
    const detail = `One sample every ${medianIntervalS.toFixed(2)} s; a shift is over in less than a second and cannot be timed.`;
    return { kind: 'refused', problem: { code: 'log.noTiming', detail, remedy: 'Log at 10 Hz or faster.' }, ...found };
  }
  const missing = INDISPENSABLE_SIGNALS.filter((id) => missingSignals.includes(id));
  if (missing.length === 0) return { kind: 'ready', ...found };
  const detail = `No shift can be found without ${missing.join(' and ')}.`;
  const problem = { code: 'signalMap.invalid', detail, remedy: 'Say which columns they are, or log them as well.' };
  return missing.every((id) => mapped.includes(id))
    ? { kind: 'refused', problem, ...found }
    : { kind: 'awaitingMap', inspection: found.inspection, problem };
}

/** Tells how far the file is read, often enough for a progress bar. */
async function* withProgress(
  source: AsyncIterable<Uint8Array>,
  sizeBytes: number,
  report: (progress: AnalysisProgress) => void,
): AsyncGenerator<Uint8Array> {
  let byteCount = 0;
  let reportedAt = Number.NEGATIVE_INFINITY;
  for await (const chunk of source) {
    byteCount += chunk.length;
    if (performance.now() - reportedAt > REPORT_EVERY_MS) {
      reportedAt = performance.now();
      report({ progress: Math.min(1, byteCount / sizeBytes), logState: 'decoding' });
    }
    yield chunk;
  }
}
