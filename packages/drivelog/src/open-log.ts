import { createCsvReader } from './csv/csv-reader.js';
import { type CsvInspection, type CsvOverrides, inspectCsv } from './csv/inspect-csv.js';
import type { LogReader } from './log-reader.js';
import { recogniseFormat, refusalOf } from './recognise-format.js';
import type { SignalMap } from './signal-map.js';
import type { RoadToShaft } from './units.js';

/** What was understood of a log; `format` tells which of the formats it is. */
export type LogInspection = CsvInspection;

/** Corrections by a person, per format. */
export interface InspectionOverrides {
  readonly csv?: CsvOverrides;
}

export interface LogReaderOptions {
  readonly map: SignalMap;
  /** Of the same file, from `inspectLog`. */
  readonly inspection: LogInspection;
  /** Needed when a road speed stands for the output speed. */
  readonly car?: RoadToShaft | undefined;
  /** Samples per batch. Default 8192. */
  readonly batchSize?: number;
}

/**
 * Recognises a log by its content and understands it from its first bytes; 64 KiB are plenty.
 * Throws LogFormatError for a format that is not read, with what was seen and what is accepted.
 */
export function inspectLog(firstBytes: Uint8Array, overrides: InspectionOverrides = {}): LogInspection {
  const recognised = recogniseFormat(firstBytes);
  switch (recognised.format) {
    case 'csv':
      return inspectCsv(firstBytes, overrides.csv);
    default:
      throw refusalOf(recognised);
  }
}

/** A reader for the format of the inspected log. Throws LogFormatError when map and file do not fit. */
export function createLogReader(options: LogReaderOptions): LogReader {
  switch (options.inspection.format) {
    case 'csv':
      return createCsvReader(options);
  }
}
