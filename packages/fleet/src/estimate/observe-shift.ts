import { clutchExchange, type OperatingPoint, type Platform } from '@syncline/calibration';
import {
  type CarFacts,
  type DemandRatio,
  demandRatio,
  type GradingPolicy,
  gradeShift,
  type Shift,
} from '@syncline/shifts';
import { countShift } from '../summaries/grade-counts.js';
import { type DesignRowResult, pressureResponse } from './design-row.js';
import type { ShiftObservation } from './shift-moments.js';

/** What turns a shift into an observation. */
export interface ObservationContext {
  /** Of the revision that the shift was driven under; see `designRows`. */
  readonly rowAt: (point: OperatingPoint) => DesignRowResult;
  readonly platform: Platform;
  readonly car: CarFacts;
  readonly policy: GradingPolicy;
  readonly programId: string | null;
  /**
   * ln of the pressure commanded over what the tables say: a trim installed in the car, or what its control unit has
   * learnt. The response is put back to what it would have been without. Default 0.
   */
  readonly appliedTrimLn?: number;
  /** Of the rule. Default 0. */
  readonly returnPressureKpa?: number;
}

export type ObservationResult =
  | ({ readonly kind: 'observation' } & ShiftObservation)
  | Extract<DesignRowResult, { kind: 'insufficient' }>;

/**
 * The observation of one shift: its demand ratio as response, its row, its grades. A shift that has grades but no demand
 * ratio (it never synchronised, or its torque is unknown) counts with weight 0, so that its flare is not overlooked.
 */
export function observeShift(shift: Shift, context: ObservationContext): ObservationResult {
  const { platform, car, policy, programId, appliedTrimLn = 0, returnPressureKpa = 0 } = context;
  const point = operatingPointOf(shift, platform, programId);
  const found = context.rowAt(point);
  if (found.kind === 'insufficient') return found;
  const { nodes, shares, gain } = found;
  const demand = demandRatio(shift, car, policy, programId);
  return {
    kind: 'observation',
    shiftKind: shift.kind,
    row: { nodes, shares, gain },
    y:
      demand.kind === 'estimate'
        ? observedResponse(demand, shift, found, {
            appliedTrimLn,
            returnPressureKpa,
            inputInertiaKgM2: platform.inputInertiaKgM2,
          })
        : 0,
    weight: demand.kind === 'estimate' ? demand.weight : 0,
    counts: countShift(gradeShift(shift, policy, programId)),
  };
}

/**
 * The response of a shift whose demand ratio is known, on the scale of `pressureResponse` and without any trim. An upshift
 * that flared asks at least for a command that holds the input.
 */
export function observedResponse(
  demand: Demand,
  shift: WitnessedShift,
  row: Pick<CarryingRow, 'gain' | 'isCarrying' | 'overReturnKpa'>,
  { appliedTrimLn, returnPressureKpa, inputInertiaKgM2 }: ResponseContext,
): number {
  const { gain, isCarrying, overReturnKpa } = row;
  const asked = wantedTorqueLn(demand, shift.measures, returnPressureKpa, isCarrying);
  const timed = pressureResponse(asked, gain) + gain * appliedTrimLn;
  const perKpa =
    shift.direction === 'up' && shift.measures.flareRpm > 0
      ? heldPerKpa(shift, returnPressureKpa, inputInertiaKgM2)
      : null;
  if (perKpa === null) return timed;
  const missing = -Math.log(perKpa * overReturnKpa);
  return Math.max(timed, pressureResponse(Math.min(CLIP, Math.max(-CLIP, missing)), gain));
}

/** What the response is read from. */
export type WitnessedShift = Pick<Shift, 'direction' | 'at' | 'measures'>;

export interface ResponseContext extends Required<Pick<ObservationContext, 'appliedTrimLn' | 'returnPressureKpa'>> {
  /** Of the platform. */
  readonly inputInertiaKgM2: number;
}

/**
 * Part of the input torque that a kPa over the return spring carried in this car, by the torque balance of methods.md 5.
 * A flare may end in time, because the unit answers it with more pressure, and its time then says nothing of the command.
 * This does: as a ratio of torques it hardly depends on the profile. Null where the log lacks something.
 */
function heldPerKpa({ at, measures }: WitnessedShift, returnKpa: number, inertiaKgM2: number): number | null {
  const { actualTimeS, appliedMeanKpa, speedStepRpm } = measures;
  if (actualTimeS === null || appliedMeanKpa === null || speedStepRpm === null || at.inputTorqueNm === null)
    return null;
  if (!(actualTimeS > 0 && appliedMeanKpa > returnKpa && at.inputTorqueNm > 0)) return null;
  const inertiaNm = (inertiaKgM2 * (Math.PI / 30) * speedStepRpm) / actualTimeS;
  return (1 + inertiaNm / at.inputTorqueNm) / (appliedMeanKpa - returnKpa);
}

type CarryingRow = Extract<DesignRowResult, { kind: 'row' }>;
type Demand = Pick<Extract<DemandRatio, { kind: 'estimate' }>, 'y' | 'targetTimeS'>;

/** y is clipped to this either way (methods.md 5). */
const CLIP = 0.5;

/** What was applied while the governing clutch slipped; null where it was not logged. */
export type AppliedPressure = Pick<Shift['measures'], 'appliedStartKpa' | 'appliedMeanKpa' | 'actualTimeS'>;

/**
 * ln of torque wanted over torque that the command stands for. The torque got is what the pressure applied meanwhile
 * carried, and that is not always the command: a unit adds pressure while it sees a flare, a ramp goes on for as long as
 * the shift does. The command is put right by what its own course would have been over the target time, which is nothing
 * for a shift that met it: the zero of y stays where it is.
 */
function wantedTorqueLn(
  { y, targetTimeS }: Demand,
  { appliedStartKpa, appliedMeanKpa, actualTimeS }: AppliedPressure,
  returnKpa: number,
  isCarrying: boolean,
): number {
  let wanted = y;
  if (appliedStartKpa !== null && appliedMeanKpa !== null && actualTimeS !== null && actualTimeS > 0) {
    const rise = (appliedMeanKpa - appliedStartKpa) * Math.min(1, targetTimeS / actualTimeS);
    const meant = appliedStartKpa + rise - returnKpa;
    const applied = appliedMeanKpa - returnKpa;
    if (meant > 0 && applied > 0) wanted += Math.log(applied / meant);
  }
  return Math.min(CLIP, Math.max(isCarrying ? -CLIP : 0, wanted));
}

/**
 * Where a shift was made: the point by which the governing clutch was last commanded before it began to slip. What is not
 * logged is left out. The clutch is the on-coming one.
 */
export function operatingPointOf(shift: Shift, platform: Platform, programId: string | null): OperatingPoint {
  const { at } = shift;
  const speeds = speedsAtRelease(shift, platform);
  const known = {
    shift: shift.kind,
    gear: shift.from,
    program: programId,
    clutch: clutchExchange(platform, shift.from, shift.to).oncoming[0] ?? null,
    load: at.load,
    engineSpeed: speeds.engineRpm,
    inputSpeed: speeds.inputRpm,
    outputSpeed: speeds.outputRpm,
    fluidTemperature: at.fluidTemperatureC,
    pedal: at.pedal,
    pressure: at.applyPressureKpa,
  };
  return Object.fromEntries(Object.entries(known).filter(([, value]) => value !== null));
}

/** Output speed is not believed to change by more than this factor from command to release. */
const MOST_CHANGE = 1.5;

/**
 * A car under power gains speed from the command to the release, in first gear as much as half the way to the next break
 * point, and the map is followed until then. Output speed at the release lies between that of the command and that of
 * synchronisation (the speed step over the step of the ratio), the car's acceleration being steady; the input is still on
 * its old line, and the engine as far ahead of it as it was. Those of the command where the log does not tell.
 */
function speedsAtRelease({ at, measures, from, to }: Shift, { gears }: Platform) {
  const commanded = { inputRpm: at.inputSpeedRpm, outputRpm: at.outputSpeedRpm, engineRpm: at.engineSpeedRpm };
  const ratioOf = (wanted: number) => gears.find(({ gear }) => gear === wanted)?.ratio ?? Number.NaN;
  const { shiftTimeS, actualTimeS, speedStepRpm } = measures;
  if (!(at.outputSpeedRpm > 0) || !shiftTimeS || actualTimeS === null || speedStepRpm === null) return commanded;
  const syncRpm = speedStepRpm / Math.abs(ratioOf(from) - ratioOf(to));
  const part = Math.min(1, Math.max(0, 1 - actualTimeS / shiftTimeS));
  const growth = 1 + part * (syncRpm / at.outputSpeedRpm - 1);
  if (!(growth < MOST_CHANGE && growth > 1 / MOST_CHANGE)) return commanded;
  const inputRpm = growth * at.inputSpeedRpm;
  return {
    inputRpm,
    outputRpm: growth * at.outputSpeedRpm,
    engineRpm: at.engineSpeedRpm === null ? null : at.engineSpeedRpm + inputRpm - at.inputSpeedRpm,
  };
}
