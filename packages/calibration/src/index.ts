export { CalibrationError, type CalibrationErrorCode } from './calibration-error.js';
export { checkContent } from './checks/check-content.js';
export { checkLayout } from './checks/check-layout.js';
export { checkTable } from './checks/check-table.js';
export type { Finding, FindingCode } from './checks/finding.js';
export { DEFAULT_SEVERITIES } from './checks/severities.js';
export {
  applyDifference,
  changesOf,
  differenceOf,
  differenceOfVariant,
  type TableChange,
  type TableDifference,
} from './compare/difference.js';
export { canonicalJson } from './document/canonical-json.js';
export type { OperatingPoint, RevisionContent, TableContent } from './document/content.js';
export { contentHash, sha256Hex } from './document/content-hash.js';
export { defaultContent } from './document/default-content.js';
export {
  addToCells,
  pasteCells,
  roundCells,
  scaleCells,
  setCells,
} from './edit/edit-cells.js';
export { type InterpolationDirection, interpolateCells } from './edit/interpolate-cells.js';
export { moveBreakpoint } from './edit/move-breakpoint.js';
export { type EditedGrid, gridSize, type Selection, wholeGrid } from './edit/selection.js';
export { smoothCells } from './edit/smooth-cells.js';
export { formatBlock, parseBlock } from './edit/text-block.js';
export { copperResistanceOhm, reachableCurrentA } from './layout/coil.js';
export type {
  AxisSpec,
  ChecksumKind,
  CoilSupply,
  ImageByteOrder,
  ImageChecksum,
  ImageMap,
  Layout,
  MonotoneRule,
  OperatingQuantity,
  Rule,
  Severity,
  ShiftSchedule,
  StorageType,
  TableRepeat,
  TableSpec,
  ValueCheck,
} from './layout/layout.js';
export {
  type BusDialect,
  type Clutch,
  clutchExchange,
  type Gear,
  type Platform,
  type Program,
  type ShiftKind,
} from './layout/platform.js';
export {
  repeatName,
  selectorsOf,
  type VariantSelector,
  type VariantSpec,
  variantAt,
  variantParts,
  variantsOf,
} from './layout/variants.js';
export { type HistoryNode, mergeBase } from './merge/merge-base.js';
export {
  type AxisConflict,
  type CellConflict,
  type ContentMerge,
  type MergeConflict,
  mergeContents,
} from './merge/merge-contents.js';
export { type MergeChoice, resolveMerge } from './merge/resolve-merge.js';
export { type MigratedContent, migrateContent } from './migrate/migrate-content.js';
export type { MigrationPlan, MigrationStep, TablePlan, VariantCopy } from './migrate/migration-plan.js';
export { planMigration } from './migrate/plan-migration.js';
export { commandedMap, type MapPlaces } from './rules/commanded-map.js';
export { compileRule } from './rules/compile-rule.js';
export { evaluateRule, type RuleValue, type TableShare } from './rules/rule.js';
export { type NodeSensitivity, ruleGradient } from './rules/rule-gradient.js';
export { checkSchedules } from './schedule/check-schedules.js';
export { type MatchedShift, type MovedShifts, movedShifts, type TimedShift } from './schedule/moved-shifts.js';
export {
  createScheduleReplay,
  type DriveSamples,
  type ReplayedShift,
  type ReplayOptions,
  replaySchedule,
  type ScheduleReplay,
} from './schedule/replay-schedule.js';
export { type ScheduleLines, type ShiftLine, scheduleLines } from './schedule/schedule-lines.js';
export { type AxisPosition, axisPosition } from './tables/axis-position.js';
export { interpolate, type NodeWeights, nodeWeights } from './tables/interpolate.js';
export { type CompiledLookUp, compileLookUp, lookUp } from './tables/look-up.js';
export { type ResampledTable, type ResamplingError, resampleTable } from './tables/resample.js';
export { buildImage } from './transfer/build-image.js';
export { checksumOf, crc16CcittFalse, crc32 } from './transfer/checksums.js';
export type { Delimiter } from './transfer/delimited-text.js';
export {
  type CalibrationDocument,
  type DocumentAbout,
  type DocumentRead,
  readDocument,
  writeDocument,
} from './transfer/document.js';
export { documentSchema, type JsonSchema } from './transfer/document-schema.js';
export {
  type ImportedContent,
  type ImportFormat,
  type ImportInput,
  importContent,
  MAX_IMPORT_BYTES,
} from './transfer/import-content.js';
export type { AddressWindow, MemoryImage } from './transfer/memory-image.js';
export { type ReadableImage, readImage } from './transfer/read-image.js';
export { readIntelHex } from './transfer/read-intel-hex.js';
export { readSRecord } from './transfer/read-s-record.js';
export { type ReadTable, readTable, readTables, type TablesRead } from './transfer/read-tables.js';
export type { RecordOptions, RecordStyle } from './transfer/record-style.js';
export { MAX_PROBLEMS, type Refused, type TransferProblem } from './transfer/transfer-problem.js';
export { writeIntelHex } from './transfer/write-intel-hex.js';
export { type SRecordOptions, writeSRecord } from './transfer/write-s-record.js';
export { type WriteTableOptions, writeTable, writeTables } from './transfer/write-tables.js';
