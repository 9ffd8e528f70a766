export {
  type CompareMeasuresOptions,
  compareMeasures,
  type MeasureCell,
  type MeasureComparison,
  type MeasureEstimate,
  type MeasureInsufficient,
} from './compare/compare-measures.js';
export {
  type CompareOptions,
  compareOutcomes,
  type DifferenceEstimate,
  describeInsufficient,
  type OutcomeComparison,
  type OutcomeEstimate,
  type OutcomeInsufficient,
  type RevisionOutcome,
} from './compare/compare-outcomes.js';
export { compareVehicles, type VehicleComparison } from './compare/compare-vehicles.js';
export { type StandardisedRate, standardisedRate } from './compare/direct-standardisation.js';
export {
  type CochranMantelHaenszel,
  type CommonRatio,
  type CommonRiskDifference,
  cochranMantelHaenszelTest,
  commonOddsRatio,
  commonRiskDifference,
  commonRiskRatio,
  type StratumCounts,
} from './compare/mantel-haenszel.js';
export {
  type ComparedRevision,
  type OutcomeRow,
  type OutcomeTable,
  tabulateOutcomes,
} from './compare/outcome-table.js';
export { overlapShare } from './compare/stratum-totals.js';
export { callForTesters } from './coverage/call-text.js';
export type { DriveGain } from './coverage/drive-gain.js';
export type { CarShifts, ShiftCorrelations } from './coverage/effective-shifts.js';
export {
  type CellEvidence,
  type CellGain,
  type CoverageGap,
  type CoverageModel,
  DEFAULT_GAP_OPTIONS,
  type GapOptions,
  type Lack,
  modelCoverage,
  type OperatingCell,
} from './coverage/find-gaps.js';
export {
  type NeedDimension,
  needsFilledBy,
  type OfferedCar,
  type ProfiledCar,
  type ProfiledPlatform,
  type ProfileNeed,
  profileNeeds,
} from './coverage/profile-needs.js';
export { type CarRecord, type CarSuitability, isActiveAt, suitCars } from './coverage/suit-cars.js';
export {
  BANDS_LIMIT,
  bandsPart,
  type Cell,
  type CellFilter,
  cellFilter,
  cellKey,
  cellOfCoveragePart,
  cellOfKey,
  cellOfMatrixPart,
  coveragePart,
  KIND_LIMIT,
  kindPart,
  MAX_KIND,
  MAX_PROGRAM,
  matrixPart,
  PLACE_LIMIT,
  programPart,
} from './cube/cell-key.js';
export {
  comparisonTable,
  EntryRoom,
  PairedSlices,
  partsOfTable,
  type SliceTable,
} from './cube/comparison-table.js';
export {
  type Distribution,
  type DistributionQuery,
  distributions,
  type PlacedMeasures,
} from './cube/distributions.js';
export {
  type CountColumns,
  type DrivenPart,
  drivenParts,
  type MatrixCounts,
  matrixCounts,
  type PlacedSlice,
  type Share,
  sumCells,
  totalsByPart,
  totalsByVehicle,
} from './cube/fleet-cube.js';
export {
  addMeasures,
  decodeMeasures,
  EMPTY_MEASURES,
  eachSum,
  encodeMeasures,
  MeasureCounter,
  type MeasuredCell,
  type MeasureSlice,
  measuresOf,
  SLICE_MEASURES,
  type SliceMeasure,
  sameMeasures,
  stepOf,
  subtractMeasures,
} from './cube/measure-slice.js';
export {
  addSlices,
  type CountedCell,
  columnOf,
  decodeSlice,
  EMPTY_SLICE,
  encodeSlice,
  OutcomeCounter,
  type OutcomeSlice,
  SLICE_COUNTS,
  type SliceCount,
  sameSlice,
  sliceOf,
  sliceTotals,
  subtractSlice,
  withoutBands,
  withoutSpeed,
} from './cube/outcome-slice.js';
export type { ByRole, CorrectionPrior, VarianceComponents } from './estimate/block-prior.js';
export { DEFAULT_PRIOR, STEADY_PRIOR } from './estimate/block-prior.js';
export { countedGain, type DesignRow, type DesignRowResult, designRows, HIGHEST_GAIN } from './estimate/design-row.js';
export {
  type CorrectionEstimate,
  estimateCorrections,
  type NoCorrections,
} from './estimate/estimate-corrections.js';
export type { EstimateOptions, NodeEvidence } from './estimate/fitted-fleet.js';
export { type FleetResponse, fleetResponse, scaledByResponse, USUAL_RESPONSE } from './estimate/fleet-response.js';
export { type RobustEstimate, robustCorrections } from './estimate/huber-weights.js';
export { type NodeDesign, type NodeSpan, nodeDesign } from './estimate/node-design.js';
export { type AdaptationValue, averageRow, observeAdaptation } from './estimate/observe-adaptation.js';
export { fillErrorMs, fillObserver, tableDesign } from './estimate/observe-fill.js';
export {
  type ObservationContext,
  type ObservationResult,
  observeShift,
  operatingPointOf,
  shiftResponse,
} from './estimate/observe-shift.js';
export { type OddCar, oddCars } from './estimate/odd-cars.js';
export { carryMoments, changeLn, type EarlierMoments } from './estimate/rebase-moments.js';
export { type ResponseScale, responseScales } from './estimate/response-scales.js';
export {
  type KindMoments,
  mergeShiftMoments,
  NO_SHIFT_MOMENTS,
  type ShiftMoments,
  type ShiftObservation,
  shiftMomentsOf,
  subtractShiftMoments,
} from './estimate/shift-moments.js';
export { decodeShiftMoments, encodeShiftMoments } from './estimate/shift-moments-codec.js';
export {
  decodeShiftRows,
  encodeShiftRows,
  momentsOfRows,
  rebaseShiftRows,
  type ShiftRows,
  sameCommandRows,
  shiftRowsOf,
} from './estimate/shift-rows.js';
export type { KindTrim, TrimEstimate, VehicleTrim } from './estimate/vehicle-trims.js';
export {
  type FixedEffect,
  fitMixedModel,
  type MixedModelFit,
  type MixedModelInsufficient,
  type MixedModelResult,
  type RandomEffects,
} from './model/fit-mixed-model.js';
export type { FixedColumn, MixedModelData, RandomTerm } from './model/mixed-model-data.js';
export type { LikelihoodMethod } from './model/profiled-likelihood.js';
export { alwaysValidInterval, logMixtureRatio, type MixtureInput } from './monitor/normal-mixture.js';
export { lookAtRollout, type MonitorOptions, type RolloutLook } from './monitor/rollout-monitor.js';
export {
  carsOfStage,
  hasStageEvidence,
  type PlacedCar,
  placeInRollout,
  type RolloutStage,
  type StageEvidence,
  stageFaults,
  stageSize,
} from './monitor/rollout-stages.js';
export {
  type PartLook,
  type RolloutWatch,
  WATCHED_MEASURES,
  type WatchedMeasure,
  type WatchedRow,
  type WatchOptions,
  type WatchVerdict,
  watchRollout,
} from './monitor/watch-rollout.js';
export { applyProposal } from './propose/apply-proposal.js';
export { type ExpectedRate, expectedRates, type PressureGrade } from './propose/expected-rates.js';
export type { NodeReason } from './propose/node-verdict.js';
export { DEFAULT_PROPOSAL_POLICY, type ProposalPolicy } from './propose/proposal-policy.js';
export { type NodeProposal, proposeCorrections } from './propose/propose-corrections.js';
export {
  type BootstrapOptions,
  type BootstrapResult,
  bootstrapRate,
  clusterBootstrap,
} from './rates/cluster-bootstrap.js';
export {
  ASSUMED_CORRELATION,
  type ClusteredRate,
  type ClusteredRateOptions,
  clusteredRate,
  type RateEstimate,
} from './rates/clustered-rate.js';
export {
  type ClusterVariance,
  clusterVariance,
  designEffect,
  kishDesignEffect,
  type VehicleCounts,
} from './rates/design-effect.js';
export { DEFAULT_EVIDENCE, describeTooFew, type EvidenceThresholds, type TooFew } from './rates/evidence.js';
export { clopperPearsonInterval, jeffreysInterval, midPInterval } from './rates/exact-intervals.js';
export { newcombeDifference, type RateDifference } from './rates/newcombe-difference.js';
export { type ShrunkenRate, shrunkenRates } from './rates/shrunken-rates.js';
export { type Count, type Interval, wilsonInterval, wilsonIntervalWithContinuity } from './rates/wilson-interval.js';
export { normalCdf, normalCritical, normalQuantile } from './special/normal.js';
export { studentCdf, studentCritical } from './special/student.js';
export {
  type BandIndices,
  type Banding,
  bandIndex,
  bandLabel,
  bandLabels,
  bandLimits,
  bandsOf,
  DEFAULT_FLEET_BANDS,
  type FleetBands,
  UNKNOWN_BAND,
} from './summaries/bands.js';
export {
  COUNTED_GRADES,
  type CountedGrade,
  countShift,
  type GradeCounts,
  gradeRate,
  mergeGradeCounts,
  NO_SHIFTS,
  subtractGradeCounts,
} from './summaries/grade-counts.js';
export { type Moments, mergeMoments, momentsOf, NO_MOMENTS, varianceOf } from './summaries/moments.js';
export {
  decodeSketch,
  encodeSketch,
  mergeSketches,
  type QuantileSketch,
  sketchCount,
  sketchOf,
  sketchQuantile,
  subtractSketch,
} from './summaries/quantile-sketch.js';
