import { createCandumpReader } from './candump/candump-reader.js';
import { type CandumpInspection, type CandumpOverrides, inspectCandump } from './candump/inspect-candump.js';
import { createCsvReader } from './csv/csv-reader.js';
import { type CsvInspection, type CsvOverrides, inspectCsv } from './csv/inspect-csv.js';
import { inspectJsonLines, type JsonLinesInspection } from './jsonl/inspect-json-lines.js';
import { createJsonLinesReader } from './jsonl/json-lines-reader.js';
import { LogFormatError } from './log-format-error.js';
import type { LogReader } from './log-reader.js';
import { recogniseFormat, refusalOf } from './recognise-format.js';
import type { SignalMap } from './signal-map.js';
import type { RoadToShaft } from './units.js';

/** What was understood of a log; `format` tells which of the formats it is. */
export type LogInspection = CsvInspection | CandumpInspection | JsonLinesInspection;

/** Corrections by a person and what a format cannot tell by itself, per format. */
export interface InspectionOverrides {
  readonly csv?: CsvOverrides;
  readonly candump?: CandumpOverrides;
}

export interface LogReaderOptions {
  readonly map: SignalMap;
  /** Of the same file, from `inspectLog`. */
  readonly inspection: LogInspection;
  /** Needed when a road speed stands for the output speed. */
  readonly car?: RoadToShaft | undefined;
  /** Samples per batch. Default 8192. */
  readonly batchSize?: number;
  /**
   * The arrays of a batch are only lent and may be filled anew by the next call of `push`. Saves a reader that hands
   * each batch on and lets it go from making new arrays all the time. Default false.
   */
  readonly isLending?: boolean;
}

/**
 * Recognises a log by its content and understands it from its first bytes; 64 KiB are plenty.
 * Throws LogFormatError for a format that is not read, with what was seen and what is accepted. MDF files are read by
 * `inspectMdf` and `createMdfReader`, since their description may lie anywhere in the file.
 */
export function inspectLog(firstBytes: Uint8Array, overrides: InspectionOverrides = {}): LogInspection {
  const recognised = recogniseFormat(firstBytes);
  switch (recognised.format) {
    case 'csv':
      return inspectCsv(firstBytes, overrides.csv);
    case 'candump':
      return inspectCandump(firstBytes, overrides.candump);
    case 'jsonLines':
      return inspectJsonLines(firstBytes);
    case 'mdf':
      throw new LogFormatError('format_not_accepted', {
        found: `${recognised.reason} as a stream`,
        expected: 'MDF files where they can be read anywhere (createMdfReader)',
      });
    default:
      throw refusalOf(recognised);
  }
}

/** A reader for the format of the inspected log. Throws LogFormatError when map and file do not fit. */
export function createLogReader(options: LogReaderOptions): LogReader {
  const { inspection } = options;
  switch (inspection.format) {
    case 'csv':
      return createCsvReader({ ...options, inspection });
    case 'candump':
      return createCandumpReader({ ...options, inspection });
    case 'jsonLines':
      return createJsonLinesReader({ ...options, inspection });
  }
}
