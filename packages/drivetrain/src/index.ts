export { type BusDialect, type BusFrame, busSignalsOf, type FrameSignal } from './bus-dialect.js';
export { type CandumpOptions, writeCandumpLog } from './candump-log.js';
export { type Car, type Sampling, type Sensors, STEADY_SAMPLING, USUAL_SENSORS } from './car.js';
export type { Converter } from './converter.js';
export { csvLogText, writeCsvLog } from './csv-log.js';
export type { FillerColumn, LogColumn, LogDialect, SignalColumn, TimeColumn } from './dialect.js';
export type { DriveTrace, EnergyBalance, ShiftConditions } from './drive-trace.js';
export type { Engine } from './engine.js';
export { type FluidEffects, fluidEffects, kinematicViscosity, USUAL_FLUID, type ViscosityPoint } from './fluid.js';
export { type FrictionContact, FrictionStep } from './friction-step.js';
export {
  type ClutchHardware,
  type Exchange,
  type Gearbox,
  type GearboxDesign,
  gearboxFromRatios,
  makeGearbox,
} from './gearbox.js';
export { CURLEW_GEARBOX, PLOVER_GEARBOX } from './gearboxes.js';
export {
  clutchLever,
  clutchSlip,
  type Gearset,
  type GearsetClutch,
  gearRatio,
  type MemberSpeeds,
  type PlanetarySet,
  solveGearset,
} from './gearset.js';
export {
  EIGHT_SPEED_CHART,
  EIGHT_SPEED_GEARSET,
  FIVE_SPEED_CHART,
  FIVE_SPEED_GEARSET,
  SIX_SPEED_CHART,
  SIX_SPEED_GEARSET,
} from './gearsets.js';
export { type LockUpTruth, lockUpTruths } from './lock-up-truth.js';
export { matchedContent, type ReferenceCar, USUAL_REFERENCE } from './matched-content.js';
export { idealPressureFactor } from './preview/ideal-pressure.js';
export { type BenchPoint, type BenchSetup, ShiftBench } from './preview/shift-bench.js';
export { makeRandom, type Random } from './random.js';
export { type RouteKind, randomRoute } from './random-route.js';
export { type Route, routeDuration, routeFromTrace } from './route.js';
export { type DriveLog, sampleLog } from './sample-log.js';
export { makeShiftLayout, RETURN_PRESSURE_KPA } from './shift-layout.js';
export { type ShiftTruth, shiftTruths } from './shift-truth.js';
export { readTrace, type SimulatedDrive, simulateDrive } from './simulate-drive.js';
export { type DriveSetup, simulateTrace } from './simulate-trace.js';
export { copperResistance, meanCoilCurrent, type PulsedCoil } from './solenoid.js';
export { DEMO_TARGET_TIMES, type TargetTimes, targetTime } from './target-times.js';
export { KELP_BUS, MARRAM_BUS, TERN_BUSES } from './tern/buses.js';
export { TERN_REVISIONS, type TernRevision, ternCalibration } from './tern/calibration.js';
export { KELP_DIALECT, MARRAM_DIALECT, withColumns } from './tern/dialects.js';
export { driveTern, type PlannedDrive, ternDrives, ternSetup } from './tern/drives.js';
export { TERN_DIALECTS, ternFleet } from './tern/fleet.js';
export { TERN_GRADING } from './tern/grading.js';
export { ternIdle } from './tern/idle.js';
export { TERN_SECOND_LAYOUT, ternProgramLines } from './tern/layout-2.js';
export { TERN_GEARBOX, TERN_LAYOUT, TERN_PLATFORM } from './tern/platform.js';
export type { Vehicle } from './vehicle.js';
