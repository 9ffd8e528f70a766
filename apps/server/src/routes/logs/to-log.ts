import type * as Contract from '@syncline/contract';
import type { SignalId } from '@syncline/drivelog';
import type { LogDetail, LogSummary, Note, SignalWindow } from '@syncline/store';
import type { Actor } from '../../services/actor.js';
import { isAuthor } from '../../services/logs.js';
import { toInstant, toInstantOrNull, toRevisionLabel } from '../format.js';
import { toCaptureCheck } from '../vehicles/to-capture.js';
import { describeSignal } from './signal-titles.js';

export function toLogSummary(log: LogSummary): Contract.LogSummary {
  const { id, vehicleId, vehicleTitle, fileName, sizeBytes, sha256, revision, state, progress } = log;
  return {
    id,
    vehicleId,
    vehicleTitle,
    fileName,
    sizeBytes,
    sha256,
    uploadedAt: toInstant(log.uploadedAtMs),
    drivenAt: toInstant(log.drivenAtMs),
    revisionId: revision?.id ?? null,
    revisionLabel: revision && toRevisionLabel(revision),
    state,
    progress,
    durationS: log.durationS,
    shiftCount: log.shiftCount,
    grades: { ...log.grades },
    problem: log.problem && { ...log.problem },
    showsEarlier: log.showsEarlier,
  };
}

export function toLogResponse(log: LogDetail): Contract.LogResponse {
  return {
    ...toLogSummary(log),
    ownerName: log.ownerName,
    originalRemovedAt: toInstantOrNull(log.originalRemovedAtMs),
    stated: log.stated && { ...log.stated },
    signals: log.signalIds.map((signal) => describeSignal(signal as SignalId)),
    analysisVersion: log.analysisVersion,
    policyVersion: log.policyVersion,
    sampleFindings: log.sampleFindings && toSampleFindings(log.sampleFindings),
    // Plain documents, kept as they were found; the copies only shed the readonly marks.
    readFindings: structuredClone(log.readFindings) as Contract.LogResponse['readFindings'],
    inspection: structuredClone(log.inspection) as Contract.LogResponse['inspection'],
    quality: structuredClone(log.quality) as Contract.LogResponse['quality'],
    capture: log.capture && toCaptureCheck(log.capture),
  };
}

function toSampleFindings(findings: NonNullable<LogDetail['sampleFindings']>) {
  const { missingSignals, medianIntervalS, ...counts } = findings;
  const isKnown = medianIntervalS !== null && Number.isFinite(medianIntervalS);
  return { ...counts, medianIntervalS: isKnown ? medianIntervalS : null, missingSignals: [...missingSignals] };
}

export function toNote(entry: Note, reader: Actor): Contract.Note {
  const { id, atS, text, byName, createdAtMs, editedAtMs } = entry;
  const isOwn = isAuthor(entry, reader);
  return { id, atS, text, byName, isOwn, createdAt: toInstant(createdAtMs), editedAt: toInstantOrNull(editedAtMs) };
}

/** Marks have no identity of their own: they are named by their place. */
export function toMarkRows(marks: readonly number[]): Contract.MarkRow[] {
  return marks.map((atS, index) => ({ id: `mark-${index + 1}`, atS }));
}

export function toSignalsResponse(answer: {
  fromS: number;
  toS: number;
  window: SignalWindow;
}): Contract.SignalsResponse {
  const { fromS, toS, window } = answer;
  return {
    fromS,
    toS,
    isRaw: window.isRaw,
    samplesPerPoint: window.samplesPerPoint,
    timeS: [...window.timeS],
    series: window.series.map(({ signalId, min, max }) => ({
      ...describeSignal(signalId),
      min: toNullable(min),
      max: toNullable(max),
    })),
  };
}

/** Missing is NaN in arrays and null in JSON. */
function toNullable(values: Float64Array): (number | null)[] {
  return Array.from(values, (value) => (Number.isNaN(value) ? null : value));
}
