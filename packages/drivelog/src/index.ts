export {
  BUS_TIME_COLUMN,
  type BusSelector,
  type BusSignal,
  type BusSignalProblem,
  checkBusSignals,
  MAX_BUS_SIGNALS,
} from './candump/bus-signal.js';
export { type CandumpReaderOptions, createCandumpReader } from './candump/candump-reader.js';
export { type FrameKind, FrameLine } from './candump/frame-line.js';
export {
  type BusInterface,
  type CandumpInspection,
  type CandumpOverrides,
  inspectCandump,
} from './candump/inspect-candump.js';
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
  type BusTraffic,
  BusTrafficCounter,
  CaptureTrafficCounter,
  type IdentifierTraffic,
} from './dialect/bus-traffic.js';
export {
  checkCapture,
  checkDialect,
  type DialectCheck,
  type DialectDoubt,
  type DialectLimits,
} from './dialect/check-dialect.js';
export {
  type DialectIdentifier,
  type DialectProfile,
  identifierText,
  learnDialect,
} from './dialect/dialect-profile.js';
export { type DialectDisagreement, type DialectScore, scoreDialect } from './dialect/score-dialect.js';
export { JOIN_RULES, type JoinRule } from './join/join-rule.js';
export type { JoinedSignal, JoinFindings } from './join/joined-rows.js';
export { RateJoiner } from './join/rate-joiner.js';
export { inspectJsonLines, type JsonLinesInspection } from './jsonl/inspect-json-lines.js';
export { createJsonLinesReader, type JsonLinesReaderOptions } from './jsonl/json-lines-reader.js';
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
  type BusFindings,
  type DamagedRow,
  type DamageReason,
  DEFAULT_BATCH_SIZE,
  type LogReader,
  MAX_DAMAGE_DETAILS,
  type ReadFindings,
  readBatches,
  type StartInstant,
} from './log-reader.js';
export { LogarithmicBins } from './logarithmic-bins.js';
export { inspectMdf, type MdfGroupSummary, type MdfInspection } from './mdf/inspect-mdf.js';
export type { UnreadChannel } from './mdf/list-columns.js';
export { createMdfReader, type MdfReader, type MdfReaderOptions } from './mdf/mdf-reader.js';
export { type Inflate, memoryAccess, type RandomAccess } from './mdf/random-access.js';
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
export { LogQualityCounter } from './quality/log-quality.js';
export type { QualityFinding } from './quality/quality-finding.js';
export type { RatioReference } from './quality/ratio-check.js';
export type { BitField, ByteOrder } from './read-bits.js';
export { ACCEPTED_FORMATS, type LogFormat, type RecognisedFormat, recogniseFormat } from './recognise-format.js';
export {
  checkSignalMap,
  INDISPENSABLE_SIGNALS,
  type MappedSignal,
  type SignalMap,
  type SignalMapProblem,
} from './signal-map.js';
export { SIGNAL_IDS, type SignalBatch, type SignalId } from './signals.js';
export { statedCalibration } from './stated-calibration.js';
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
