import type { Platform } from '@syncline/calibration';
import type { SignalId } from '@syncline/drivelog';
import type { CarFacts, GradingPolicy, LockUpEpisode, SampleFindings } from '@syncline/shifts';
import type { Actor, Scope } from '../actor.js';
import type { ReceivedBlob } from '../blobs/blobs.js';
import type { RevisionRef } from '../calibrations/calibrations.js';
import type { JobLease, NewJob } from '../jobs/jobs.js';
import type { Page, PageRequest } from '../page.js';
import type { GradeCounts, NewShift } from '../shifts/shifts.js';
import type { LogState, StoredProblem } from './log-state.js';

/** Which column of a car's files is which signal. */
export interface SignalMapDocument {
  readonly time: {
    readonly column: string;
    readonly format: 'seconds' | 'milliseconds' | 'microseconds' | 'iso8601' | 'clock';
  };
  readonly signals: readonly {
    readonly signal: string;
    readonly column: string;
    readonly unit: string;
    readonly factor?: number;
    readonly offset?: number;
    /** Meaning of certain cells; null is “no value”. */
    readonly codes?: Readonly<Record<string, number | null>>;
  }[];
}

/** What the reader understood of a file before anything of it is believed. */
export interface InspectionDocument {
  readonly format: string;
  readonly delimiter: string | null;
  readonly decimalMark: string | null;
  readonly columns: readonly { readonly name: string; readonly unit: string | null }[];
  readonly firstRows: readonly (readonly string[])[];
  readonly suggestion: SignalMapDocument | null;
  readonly reasons: readonly string[];
}

/** What the reader left out or could not read, with the first places. */
export interface ReadFindingsDocument {
  readonly rowCount: number;
  readonly damagedRowCount: number;
  readonly damagedRows: readonly {
    readonly line: number;
    readonly column: string | null;
    readonly found: string;
    readonly expected: string;
  }[];
  readonly missingValues: Readonly<Record<string, number>>;
  readonly remarks: readonly string[];
}

export interface LogSummary {
  readonly id: string;
  readonly vehicleId: string;
  readonly vehicleTitle: string;
  readonly fileName: string;
  readonly sizeBytes: number;
  readonly sha256: string;
  readonly uploadedAtMs: number;
  readonly drivenAtMs: number;
  readonly revision: RevisionRef | null;
  readonly state: LogState;
  /** 0 to 1 of the work under way. */
  readonly progress: number;
  readonly durationS: number | null;
  readonly shiftCount: number;
  /** Grades that occur, with their counts. */
  readonly grades: GradeCounts;
  readonly problem: StoredProblem | null;
}

export interface LogDetail extends LogSummary {
  readonly ownerId: string;
  readonly ownerName: string;
  readonly platformId: string;
  readonly signalIds: readonly SignalId[];
  /** Name of the signal file, for `signals.open`; null before the log was decoded. */
  readonly signalFile: string | null;
  readonly analysisVersion: number | null;
  readonly policyVersion: number | null;
  readonly sampleFindings: SampleFindings | null;
  readonly readFindings: ReadFindingsDocument | null;
  readonly inspection: InspectionDocument | null;
}

/** All that a worker needs to decode and analyse a log. */
export interface AnalysisInput {
  readonly logId: string;
  readonly vehicleId: string;
  readonly ownerId: string;
  readonly fileName: string;
  readonly sha256: string;
  readonly sizeBytes: number;
  readonly drivenAtMs: number;
  readonly revisionId: string | null;
  readonly platform: Platform;
  readonly policy: GradingPolicy;
  readonly car: CarFacts;
  readonly signalMap: SignalMapDocument | null;
}

export interface Note {
  readonly id: string;
  /** Seconds of the log. */
  readonly atS: number;
  readonly text: string;
  readonly byName: string;
  readonly createdAtMs: number;
}

export interface LogFilter {
  readonly vehicleId?: string;
  readonly state?: LogState;
  readonly revisionId?: string;
}

export interface LogReads {
  /** Newest drive first. */
  list(scope: Scope, filter: LogFilter, page: PageRequest): Page<LogSummary>;
  find(scope: Scope, logId: string): LogDetail | undefined;
  /** The log of a car with these bytes. */
  findByHash(vehicleId: string, sha256: string): LogSummary | undefined;
  findAnalysisInput(logId: string): AnalysisInput | undefined;
  /** In the order of their times. Ask `find` first: no scope is applied here. */
  notes(logId: string): readonly Note[];
  lockUps(logId: string): readonly StoredLockUp[];
  /** Ids of the logs of a platform that are `ready`, rising, after `afterId`. For regrading in steps. */
  listReadyIds(platformId: string, afterId: string | null, limit: number): readonly string[];
}

export interface StoredLockUp extends LockUpEpisode {
  readonly id: string;
}

/** The result of a whole analysis. Everything found before in the log is replaced. */
export interface AnalysisResult {
  readonly lease: JobLease;
  readonly logId: string;
  readonly state: 'ready' | 'refused';
  /** Why it cannot be graded; null for `ready`. */
  readonly problem: StoredProblem | null;
  readonly analysisVersion: number;
  readonly policyVersion: number;
  readonly durationS: number;
  readonly shifts: readonly NewShift[];
  readonly lockUps: readonly LockUpEpisode[];
  readonly sampleFindings: SampleFindings;
  readonly readFindings: ReadFindingsDocument;
  readonly inspection: InspectionDocument | null;
  /** A closed signal file made under `signals.newFile`; null when there is nothing to plot. */
  readonly signalFile: { readonly name: string; readonly signalIds: readonly SignalId[] } | null;
  /** Corrects the time of the drive when the file itself states it. */
  readonly drivenAtMs?: number;
}

export interface LogWrites {
  /**
   * Row for bytes that are in place already; queues its analysis in the same transaction. The same bytes for the same
   * car are one log: then nothing is written and `isDuplicate` holds. Without `revisionId`, what was installed at
   * `drivenAtMs`. Throws `not_found`, or `platform_mismatch` for a revision of another platform.
   */
  add(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly fileName: string;
    readonly drivenAtMs: number;
    readonly revisionId?: string;
    readonly blob: ReceivedBlob;
    readonly jobFor: (logId: string) => NewJob;
  }): { readonly logId: string; readonly isDuplicate: boolean };
  /** Queues the analysis again. Harmless while it is queued or running. */
  requeue(input: { readonly actor: Actor; readonly logId: string; readonly job: NewJob }): void;
  /**
   * Ends the job with its result: shifts, lock-ups, findings, signal file, summaries and job state in one transaction.
   * Running twice equals running once. Throws `lease_lost` when the job is no longer the caller's; then nothing is kept.
   */
  replaceAnalysis(result: AnalysisResult): void;
  /** Parks the job until the owner has mapped the columns (`vehicles.setSignalMap`). Throws `lease_lost`. */
  awaitMap(input: {
    readonly lease: JobLease;
    readonly logId: string;
    readonly inspection: InspectionDocument;
    readonly problem: StoredProblem | null;
  }): void;
  addNote(input: { readonly actor: Actor; readonly logId: string; readonly atS: number; readonly text: string }): Note;
}
