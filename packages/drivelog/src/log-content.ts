import type { Confidence } from './confidence.js';

/** How the time column is written. Clock times have no date; ISO 8601 has date and time, with or without a zone. */
export const TIME_FORMATS = ['seconds', 'milliseconds', 'microseconds', 'iso8601', 'clock'] as const;
export type TimeFormat = (typeof TIME_FORMATS)[number];

/** A channel of a log, whatever the format: a column of a table, or what answers to it elsewhere. */
export interface LogColumn {
  /** Position in the file, from 0. */
  readonly index: number;
  /** As written; made unique by ` (2)`, ` (3)` where the file repeats it. */
  readonly name: string;
  /** The name without its unit. */
  readonly label: string;
  /** As written; null when the file states none. */
  readonly unit: string | null;
}

/** A column that may be the time axis. */
export interface TimeCandidate {
  readonly column: string;
  readonly format: TimeFormat;
  readonly confidence: Confidence;
  readonly reason: string;
}

/** Something about the file that a person should see before believing the rest. */
export interface InspectionFinding {
  readonly code:
    | 'byte_order_mark'
    | 'not_utf8'
    | 'lines_before_header'
    | 'header_in_comment'
    | 'duplicate_column'
    | 'unnamed_column'
    | 'header_shorter_than_rows'
    | 'header_longer_than_rows'
    | 'decimal_mark_unseen'
    | 'decimal_marks_mixed'
    | 'no_time_column'
    | 'no_signal_list'
    | 'signal_unseen'
    | 'several_buses'
    | 'channel_unread'
    | 'several_rates'
    | 'nested_values';
  readonly message: string;
}

/** What was understood of a log from its beginning, to be shown and confirmed before it is believed. Plain data. */
export interface LogContent {
  readonly columns: readonly LogColumn[];
  /** Likeliest first; empty when no column looks like time. */
  readonly timeCandidates: readonly TimeCandidate[];
  /** The first samples, cell by cell, as text. */
  readonly firstRows: readonly (readonly string[])[];
  readonly findings: readonly InspectionFinding[];
}
