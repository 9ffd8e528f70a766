import type { SignalId } from '../signals.js';
import type { JoinRule } from './join-rule.js';

/** How one signal came onto the time base. */
export interface JoinedSignal {
  readonly rule: JoinRule['kind'];
  /** Samples in the log. */
  readonly sampleCount: number;
  /** The longest time without a sample (s), beginning and end of the log included, and when it began (s). */
  readonly largestGapS: number;
  readonly largestGapStartS: number;
}

export interface JoinFindings {
  /** The signal whose moments are the time base; null when the log had none. */
  readonly base: SignalId | null;
  readonly signals: Readonly<Partial<Record<SignalId, JoinedSignal>>>;
}

/** What is known of the rows that were made of a log's samples. */
export interface JoinedRows {
  readonly sampleCount: number;
  /** Time of the first row on the clock of the records (s); NaN without rows. */
  readonly startTimeS: number;
  /** Rows without a value. */
  missingValues(): Partial<Record<SignalId, number>>;
  findings(): JoinFindings;
}
