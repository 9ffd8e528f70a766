import type { Platform } from '@syncline/calibration';
import type { BusFindings, QualityFinding, SignalId } from '@syncline/drivelog';
import type { CarFacts, GradingPolicy, LockUpEpisode, SampleFindings } from '@syncline/shifts';
import type { Actor, Scope } from '../actor.js';
import type { ReceivedBlob } from '../blobs/blobs.js';
import type { RevisionRef } from '../calibrations/calibrations.js';
import type { CheckedCapture } from '../captures/captures.js';
import type { JobLease, NewJob } from '../jobs/jobs.js';
import type { Page, PageRequest } from '../page.js';
import type { GradeCounts, NewShift } from '../shifts/shifts.js';
import type { LogState, StoredProblem } from './log-state.js';

/** Formats that are read. A car has one signal map for each kind of file that it sends. */
export type LogFormat = 'csv' | 'jsonLines' | 'candump' | 'mdf';

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
  readonly format: LogFormat;
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

/** How a log was sampled and put together, and what is doubtful about its values. */
export interface LogQualityDocument {
  readonly timing: {
    readonly rateHz: number | null;
    /** Half the distance of the quartiles of the intervals over their median. */
    readonly jitter: number | null;
    readonly longestIntervalS: number;
    readonly gaps: number;
    readonly repeatedTimes: number;
    readonly stepsBack: number;
    readonly longestStepBackS: number;
    /** Whether shifts can be timed from it, and why. */
    readonly suitability: 'good' | 'coarse' | 'unsuitable';
    readonly reason: string;
  };
  /** How signals of different rates came together; null where one row holds all of them. */
  readonly join: {
    /** The signal whose moments are the time base. */
    readonly base: SignalId | null;
    readonly signals: readonly {
      readonly signal: SignalId;
      readonly rule: 'linear' | 'hold';
      readonly sampleCount: number;
      readonly largestGapS: number;
      /** Null without a gap. */
      readonly largestGapStartS: number | null;
    }[];
  } | null;
  /** Only of captures of a bus. */
  readonly bus: BusFindings | null;
  readonly findings: readonly QualityFinding[];
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
  /** Not ready, and yet the shifts of an analysis before are shown and count. */
  readonly showsEarlier: boolean;
}

export interface LogDetail extends LogSummary {
  /** When the original was removed on purpose; null while it is there. */
  readonly originalRemovedAtMs: number | null;
  /** What the file says that the control unit ran, as written, and the revision that it names. */
  readonly stated: { readonly text: string; readonly revisionId: string | null } | null;
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
  readonly quality: LogQualityDocument | null;
  /** What its check says of the bus dialect; null for logs that are no capture. */
  readonly capture: CheckedCapture | null;
  /** Presses of the marker button, in seconds of the log, rising. */
  readonly marks: readonly number[];
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
  /** What the car was observed to speak last, else what is declared; null when neither is known. */
  readonly dialectId: string | null;
  /** Newest version of the bus signal list of each dialect that has one. */
  readonly signalLists: Readonly<Record<string, number>>;
  readonly signalMaps: Readonly<Partial<Record<LogFormat, SignalMapDocument>>>;
}

export interface Note {
  readonly id: string;
  /** Seconds of the log. */
  readonly atS: number;
  readonly text: string;
  /** Null for a note from before authors were kept. */
  readonly byId: string | null;
  readonly byName: string;
  readonly createdAtMs: number;
  /** Null unless its author changed it. */
  readonly editedAtMs: number | null;
}

export interface LogFilter {
  readonly vehicleId?: string;
  readonly state?: LogState;
  readonly revisionId?: string;
}

/** What is asked of a log before its samples, notes or shifts are. */
export type LogOutline = Pick<
  LogDetail,
  'id' | 'vehicleId' | 'fileName' | 'state' | 'signalIds' | 'signalFile' | 'marks'
>;

export interface LogReads {
  /** Newest drive first. */
  list(scope: Scope, filter: LogFilter, page: PageRequest): Page<LogSummary>;
  find(scope: Scope, logId: string): LogDetail | undefined;
  outline(scope: Scope, logId: string): LogOutline | undefined;
  /** The log of a car with these bytes. */
  findByHash(vehicleId: string, sha256: string): LogSummary | undefined;
  /** With the policy in force, or with the one of a version. */
  findAnalysisInput(logId: string, policyVersion?: number): AnalysisInput | undefined;
  /** In the order of their times. Ask `outline` first: no scope is applied here. */
  notes(logId: string): readonly Note[];
  lockUps(logId: string): readonly StoredLockUp[];
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
  /** In the order of the drive; gone through once. */
  readonly shifts: Iterable<NewShift>;
  /** In the order of the drive; gone through once. */
  readonly lockUps: Iterable<LockUpEpisode>;
  readonly sampleFindings: SampleFindings;
  readonly readFindings: ReadFindingsDocument;
  readonly inspection: InspectionDocument | null;
  readonly quality: LogQualityDocument;
  /** A closed signal file made under `signals.newFile`; null when there is nothing to plot. */
  readonly signalFile: { readonly name: string; readonly signalIds: readonly SignalId[] } | null;
  /** Presses of the marker button, in seconds of the log, rising. */
  readonly marks: readonly number[];
  /** Corrects the time of the drive when the file itself states it. */
  readonly drivenAtMs?: number;
  /** What the file says that the control unit ran, as written; null or absent when it does not say. */
  readonly statedCalibration?: string | null;
  /** The job that brings the result of an open run of the platform up to this one, queued in the same transaction. */
  readonly candidateJobFor?: (runId: string) => NewJob;
}

export interface LogWrites {
  /**
   * Marks up to `limit` originals that came before an instant, and that no analysis waits for, as removed; what was found
   * in them stays. Returns their files, below the data folder, which the caller removes.
   */
  removeOriginals(input: {
    readonly actor: Actor;
    readonly beforeMs: number;
    readonly limit: number;
  }): readonly string[];
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
  /** Throws `not_found`. Whose note it is must have been asked before. */
  editNote(input: {
    readonly actor: Actor;
    readonly logId: string;
    readonly noteId: string;
    readonly atS?: number;
    readonly text?: string;
  }): Note;
  /** Throws `not_found`. Its text stays in the audit trail. */
  removeNote(input: { readonly actor: Actor; readonly logId: string; readonly noteId: string }): void;
}
