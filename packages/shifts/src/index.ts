export { butterworth, type Section, SectionFilter } from './butterworth.js';
export { DEFAULT_POLICY } from './default-policy.js';
export { type DemandRatio, demandRatio } from './demand-ratio.js';
export { analyseDrive, createShiftFinder, type DriveSetup, type FoundEvents, type ShiftFinder } from './find-shifts.js';
export { gradeShift, isValveHeldOn } from './grade-shift.js';
export { fitLocalQuadratic, type LocalFit, savitzkyGolayWeights } from './local-fit.js';
export { type ByLoad, GRADES, type Grade, type GradingPolicy, type ProgramPolicy } from './policy.js';
export { programPolicy, valueAtLoad } from './program-policy.js';
export { median, robustDeviation } from './robust.js';
export type {
  CarFacts,
  Disturbance,
  LockUpEpisode,
  OperatingConditions,
  SampleFindings,
  Shift,
  ShiftDirection,
  ShiftMeasures,
  ShiftOutcome,
} from './shift.js';
export { clutchSlipEnergyJ, type SlipPhase } from './slip-energy.js';
