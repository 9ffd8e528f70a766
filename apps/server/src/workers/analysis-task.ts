import type { MessagePort } from 'node:worker_threads';
import type { BusTraffic, SignalId } from '@syncline/drivelog';
import type { LockUpEpisode, SampleFindings } from '@syncline/shifts';
import type {
  AnalysisInput,
  InspectionDocument,
  LogQualityDocument,
  ReadFindingsDocument,
  StoredProblem,
  StoredProfile,
  StoredSignalList,
} from '@syncline/store';
import type { OriginalFile } from '@syncline/store/files';
import type { AssessedShift } from '../jobs/assess-shift.js';
import type { Packs } from './packs.js';

/** A file of this size takes several times as long to read as a thread takes to start. */
const LONG_LOG_BYTES = 8 * 2 ** 20;

export function isLong({ sizeBytes }: Pick<AnalysisInput, 'sizeBytes'>): boolean {
  return sizeBytes >= LONG_LOG_BYTES;
}

/** What a worker thread is told to do. */
export interface AnalysisTask {
  /** Data folder. */
  readonly folder: string;
  readonly input: AnalysisInput;
  readonly file: OriginalFile;
  readonly dialects: DialectKnowledge;
  /** Where the decoded signals go. */
  readonly signalPath: string;
  /** Where files may be unpacked and what was found is put: made when it is needed, removed by the caller. */
  readonly scratchFolder: string;
  /** A file that unpacks to more is refused. */
  readonly maxUnpackedBytes: number;
  /** Free space that unpacking must leave. */
  readonly minFreeBytes: number;
  /** Takes `AnalysisProgress`. */
  readonly port: MessagePort;
}

/** What is known of the bus dialects of the platform. */
export interface DialectKnowledge {
  /** The newest of each dialect that has one. */
  readonly profiles: readonly StoredProfile[];
  /** The newest of each dialect that has one, by its id. */
  readonly signalLists: Readonly<Record<string, StoredSignalList | undefined>>;
}

/** Share of the file that was read, 0 to 1. */
export interface AnalysisProgress {
  readonly progress: number;
  readonly logState: 'decoding' | 'analysing';
}

/** What a worker thread found. */
export type AnalysisOutcome = AnalysisResult & {
  /** How each bus of a capture was spoken; null for logs that are no capture. */
  readonly traffics: readonly BusTraffic[] | null;
};

export type AnalysisResult =
  | { readonly kind: 'awaitingMap'; readonly inspection: InspectionDocument; readonly problem: StoredProblem | null }
  | {
      readonly kind: 'unreadable';
      readonly code: 'log.unreadable' | 'log.tooLarge' | 'storage.full';
      readonly detail: string;
    }
  | ({ readonly kind: 'refused'; readonly problem: StoredProblem } & Found)
  | ({ readonly kind: 'ready' } & Found);

export interface Found {
  readonly durationS: number;
  readonly shiftPacks: Packs<AssessedShift>;
  readonly lockUpPacks: Packs<LockUpEpisode>;
  readonly sampleFindings: SampleFindings;
  readonly readFindings: ReadFindingsDocument;
  readonly quality: LogQualityDocument;
  readonly inspection: InspectionDocument;
  readonly signalIds: readonly SignalId[];
  /** Presses of the marker button (s). */
  readonly marks: readonly number[];
  /** When the file itself tells, with its zone. */
  readonly drivenAtMs: number | undefined;
  /** What the file says that the control unit ran, as written. */
  readonly statedCalibration: string | null;
}
