import type { SignalBatch, SignalId } from '@syncline/drivelog';

/** Writes the decoded columns of a log, batch by batch, in bounded memory. */
export interface SignalWriter {
  /** Signals absent from a batch are NaN there. The arrays are copied. */
  append(batch: SignalBatch): Promise<void>;
  /** Syncs the file and moves it to its name. */
  close(): Promise<SignalFileSummary>;
  /** Leaves nothing behind. */
  abort(): Promise<void>;
}

export interface SignalFileSummary {
  readonly sampleCount: number;
  /** First and last time by value, not by order; null without samples. */
  readonly startS: number | null;
  readonly endS: number | null;
  /** Signals with at least one value. */
  readonly signalIds: readonly SignalId[];
}

/** What of a drive is to be drawn. */
export interface SignalWindowQuery {
  readonly signalIds: readonly SignalId[];
  readonly fromS: number;
  readonly toS: number;
  /** At most so many points. */
  readonly points: number;
}

/**
 * Aligned columns. `isRaw`: every sample of the window, `min` and `max` being the same array; else one point for each
 * run of about `samplesPerPoint` samples, with its first time, smallest and largest value (NaN where all are missing).
 * Samples stand in the order of the log; where its clock steps back a window is every sample between the first and the
 * last that lies in it.
 */
export interface SignalWindow {
  readonly isRaw: boolean;
  readonly samplesPerPoint: number;
  readonly startIndex: number;
  /** Exclusive. */
  readonly endIndex: number;
  readonly timeS: Float64Array;
  readonly series: readonly {
    readonly signalId: SignalId;
    readonly min: Float64Array;
    readonly max: Float64Array;
  }[];
}

export interface SignalFile extends SignalFileSummary {
  window(query: SignalWindowQuery): Promise<SignalWindow>;
  /** Samples `startIndex` (inclusive) to `endIndex` (exclusive), bit for bit as they were appended. */
  raw(query: {
    readonly signalIds: readonly SignalId[];
    readonly startIndex: number;
    readonly endIndex: number;
  }): Promise<SignalBatch>;
  /** The run of samples that holds every one with `fromS` ≤ time ≤ `toS`. */
  indexRange(fromS: number, toS: number): Promise<{ readonly startIndex: number; readonly endIndex: number }>;
  close(): Promise<void>;
}

export interface SignalReader {
  /** Throws `signal_file_missing` without the file, `signal_file_damaged` when it does not hold together. */
  open(name: string): Promise<SignalFile>;
}

export interface SignalStore extends SignalReader {
  /** A fresh name, and the path under which a worker writes it with `createSignalWriter`. */
  newFile(logId: string): { readonly name: string; readonly path: string };
}
