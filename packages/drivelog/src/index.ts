export { CONFIDENCES, type Confidence } from './confidence.js';
export {
  COMMENT_PREFIXES,
  type CsvDelimiter,
  type CsvDialect,
  type DecimalMark,
  MAX_COLUMNS,
  MAX_LINE_BYTES,
} from './csv/csv-dialect.js';
export { type CsvReaderOptions, createCsvReader } from './csv/csv-reader.js';
export { type CsvInspection, type CsvOverrides, inspectCsv } from './csv/inspect-csv.js';
export {
  type InspectionFinding,
  type LogColumn,
  type LogContent,
  TIME_FORMATS,
  type TimeCandidate,
  type TimeFormat,
} from './log-content.js';
export { LogFormatError, type LogFormatErrorCode, type LogPosition } from './log-format-error.js';
export {
  type DamagedRow,
  type DamageReason,
  DEFAULT_BATCH_SIZE,
  type LogReader,
  MAX_DAMAGE_DETAILS,
  type ReadFindings,
  readBatches,
  type StartInstant,
} from './log-reader.js';
export {
  createLogReader,
  type InspectionOverrides,
  inspectLog,
  type LogInspection,
  type LogReaderOptions,
} from './open-log.js';
export { type Envelope, type EnvelopeWindow, envelope } from './plot/envelope.js';
export { buildPyramid, condenseSamples, joinLevels, type Pyramid, type PyramidLevel } from './plot/pyramid.js';
export { pyramidEnvelope, type SampleSource } from './plot/pyramid-envelope.js';
export { rangeOfWindow, risingRuns, type SampleRange } from './plot/sample-ranges.js';
export { ACCEPTED_FORMATS, type LogFormat, type RecognisedFormat, recogniseFormat } from './recognise-format.js';
export {
  checkSignalMap,
  INDISPENSABLE_SIGNALS,
  type MappedSignal,
  type SignalMap,
  type SignalMapProblem,
} from './signal-map.js';
export { SIGNAL_IDS, type SignalBatch, type SignalId } from './signals.js';
export { type SignalMapSuggestion, type SuggestionReason, suggestSignalMap } from './suggest-signal-map.js';
export {
  type TimeStatistics,
  TimeStatisticsCounter,
  type TimingSuitability,
  timeStatistics,
  timingSuitability,
} from './time-statistics.js';
export {
  conversionToSignal,
  findUnit,
  isRoadSpeedUnit,
  isUnitOfSignal,
  type LinearConversion,
  type Quantity,
  type RoadToShaft,
  unitsForSignal,
  unitsOf,
} from './units.js';
