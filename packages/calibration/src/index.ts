export { type AxisPosition, axisPosition } from './axis-position.js';
export { CalibrationError, type CalibrationErrorCode } from './calibration-error.js';
export { canonicalJson } from './canonical-json.js';
export { checkContent } from './check-content.js';
export { checkLayout } from './check-layout.js';
export { commandedMap, type MapAxis } from './commanded-map.js';
export { compileRule } from './compile-rule.js';
export type { OperatingPoint, RevisionContent, TableContent } from './content.js';
export { contentHash, sha256Hex } from './content-hash.js';
export { defaultContent } from './default-content.js';
export { applyDifference, differenceOf, type TableDifference } from './difference.js';
export type { Finding, FindingCode } from './finding.js';
export { interpolate, type NodeWeights, nodeWeights } from './interpolate.js';
export type {
  AxisSpec,
  Layout,
  MonotoneRule,
  OperatingQuantity,
  Rule,
  StorageType,
  TableRepeat,
  TableSpec,
} from './layout.js';
export { type CompiledLookUp, compileLookUp, lookUp } from './look-up.js';
export {
  type BusDialect,
  type Clutch,
  clutchExchange,
  type Gear,
  type Platform,
  type Program,
  type ShiftKind,
} from './platform.js';
export { type ResampledTable, type ResamplingError, resampleTable } from './resample.js';
export { evaluateRule, type RuleValue, type TableShare } from './rule.js';
export { type NodeSensitivity, ruleGradient } from './rule-gradient.js';
export { variantsOf } from './variants.js';
