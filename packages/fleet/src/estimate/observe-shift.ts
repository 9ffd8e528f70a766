import { clutchExchange, type OperatingPoint, type Platform } from '@syncline/calibration';
import {
  type CarFacts,
  type DemandRatio,
  demandRatio,
  type GradingPolicy,
  gradeShift,
  programPolicy,
  type Shift,
  valueAtLoad,
} from '@syncline/shifts';
import { countShift } from '../summaries/grade-counts.js';
import { type CarryingRow, type DesignRowResult, HIGHEST_GAIN, pressureResponse } from './design-row.js';
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
  const { inputInertiaKgM2 } = platform;
  const targetTimeS = valueAtLoad(programPolicy(policy, programId).targetInertiaTimeS, shift.at.load ?? 0);
  const demand = demandRatio(shift, car, policy, programId);
  return {
    kind: 'observation',
    shiftKind: shift.kind,
    row: { nodes, shares, gain },
    ...shiftResponse(shift, demand.kind === 'estimate' ? demand : null, found, {
      targetTimeS,
      appliedTrimLn,
      returnPressureKpa,
      inputInertiaKgM2,
    }),
    counts: countShift(gradeShift(shift, policy, programId)),
  };
}

/** What a shift tells of its command: response and weight of an observation. */
type ShiftResponse = Pick<ShiftObservation, 'y' | 'weight'>;

const NOTHING: ShiftResponse = { y: 0, weight: 0 };

/**
 * The response of a shift on the scale of `pressureResponse`, without any trim.
 * @param known its demand ratio; null where it has none
 */
export function shiftResponse(
  shift: Shift,
  known: Demand | null,
  row: Pick<CarryingRow, 'gain' | 'torqueGain' | 'isCarrying' | 'overReturnKpa'>,
  context: ResponseContext,
): ShiftResponse {
  const demand = known ?? quickDownshift(shift, context) ?? emptyFlare(shift, row);
  if (demand === null) return NOTHING;
  const y = Math.max(timedResponse(demand, shift, row, context), heldResponse(shift, row, context));
  return Number.isFinite(y) ? { y, weight: demand.weight } : NOTHING;
}

export interface ResponseContext extends Required<Pick<ObservationContext, 'appliedTrimLn' | 'returnPressureKpa'>> {
  /** Of the grading policy, at the shift's load. */
  readonly targetTimeS: number;
  /** Of the platform. */
  readonly inputInertiaKgM2: number;
}

/** Below this time (s) a downshift has no demand ratio: `LEAST_DOWNSHIFT_S` of packages/shifts. */
const TOO_SOON_S = 0.1;
/** Of shifts that only tell that they want more. */
const ONE_SIDED_WEIGHT = 0.5;

/**
 * A downshift under power that was over too soon for a demand ratio: either the
 * on-coming clutch pulled the input up, or the off-going one held next to nothing. The torque balance tells them apart: what
 * the input torque alone cannot have done was pulled and tells nothing of the pressure; the rest asks for more, and never
 * for less. Without it a close gear that is commanded far too little would have no witness at all.
 */
function quickDownshift(
  { direction, outcome, at, measures, disturbances }: Shift,
  { targetTimeS, inputInertiaKgM2 }: ResponseContext,
): Demand | null {
  const { actualTimeS, speedStepRpm } = measures;
  if (direction !== 'down' || outcome !== 'complete' || disturbances.length > 0) return null;
  if (actualTimeS === null || speedStepRpm === null || at.inputTorqueNm === null) return null;
  if (!(actualTimeS > 0 && actualTimeS <= TOO_SOON_S)) return null;
  const inertiaNms = inputInertiaKgM2 * (Math.PI / 30) * speedStepRpm;
  const gotNm = at.inputTorqueNm - inertiaNms / actualTimeS;
  if (!(gotNm > 0)) return null;
  return {
    y: Math.min(CLIP, Math.log((at.inputTorqueNm - inertiaNms / targetTimeS) / gotNm)),
    weight: ONE_SIDED_WEIGHT,
  };
}

/** A shift that flared under a command that carries nothing wants some, whatever else is known of it. */
function emptyFlare({ outcome, measures }: Shift, { isCarrying }: Pick<CarryingRow, 'isCarrying'>): Demand | null {
  if (isCarrying || outcome !== 'complete' || !(measures.flareRpm > 0)) return null;
  return { y: 0, weight: ONE_SIDED_WEIGHT };
}

/**
 * What the time of a shift asks for. Below the return pressure no clutch carries anything: one that should carry more, or
 * flared, wants that at least, and one that should carry less cannot want less. −∞ where it carries nothing and need not.
 */
function timedResponse(
  demand: Demand,
  { measures }: Shift,
  row: Pick<CarryingRow, 'gain' | 'torqueGain' | 'isCarrying' | 'overReturnKpa'>,
  context: ResponseContext,
): number {
  const { gain, torqueGain, overReturnKpa, isCarrying } = row;
  const { appliedTrimLn, returnPressureKpa } = context;
  const asked = wantedOverReturnLn(demand, measures, row, context);
  if (!isCarrying && asked <= 0 && measures.flareRpm === 0) return Number.NEGATIVE_INFINITY;
  const toReturnLn = returnPressureKpa > 0 ? Math.log(returnPressureKpa / (torqueGain * overReturnKpa)) : -CLIP;
  return Math.max(pressureResponse(asked, row), gain * Math.min(CLIP, toReturnLn)) + gain * appliedTrimLn;
}

/**
 * What an upshift that flared asks for at least: the pressure with which its command would have held the input torque. A
 * flare may end in time, because the unit answers it with more pressure, and its time then says nothing of the command; the
 * torque that a kPa over the return spring carried meanwhile does (balance of methods.md 5), and as a ratio of torques it
 * hardly depends on the profile. −∞ where there was none or the log lacks something.
 */
function heldResponse(
  { direction, at, measures }: Shift,
  row: Pick<CarryingRow, 'gain' | 'torqueGain' | 'overReturnKpa'>,
  { returnPressureKpa, inputInertiaKgM2 }: ResponseContext,
): number {
  const { flareRpm, actualTimeS, appliedMeanKpa, speedStepRpm } = measures;
  const nothing = Number.NEGATIVE_INFINITY;
  if (direction !== 'up' || !(flareRpm > 0)) return nothing;
  if (actualTimeS === null || appliedMeanKpa === null || speedStepRpm === null || at.inputTorqueNm === null)
    return nothing;
  if (!(actualTimeS > 0 && appliedMeanKpa > returnPressureKpa && at.inputTorqueNm > 0)) return nothing;
  const inertiaNm = (inputInertiaKgM2 * (Math.PI / 30) * speedStepRpm) / actualTimeS;
  const holdingKpa = (appliedMeanKpa - returnPressureKpa) / (1 + inertiaNm / at.inputTorqueNm);
  const missingKpa = holdingKpa - (row.torqueGain * row.overReturnKpa - returnPressureKpa);
  return pressureResponse(clippedLn(missingKpa / row.overReturnKpa), row);
}

/** ln(1 + share), clipped. */
function clippedLn(share: number): number {
  return Math.min(CLIP, Math.max(-CLIP, Math.log(Math.max(0, 1 + share))));
}

type Demand = Pick<Extract<DemandRatio, { kind: 'estimate' }>, 'y' | 'weight'>;

/** y is clipped to this either way (methods.md 5). */
const CLIP = 0.5;

/** The course of the pressure is followed on beyond the end of a shift for at most this part of its time. */
const FURTHEST_ON = 0.5;

/**
 * ln of wanted over commanded pressure, both over the return spring. What carried the torque is the pressure applied
 * meanwhile, and that is not always the command: a unit adds pressure while it sees a flare, a ramp goes on for as long as
 * the shift does. So the mean that was applied is scaled to the torque needed, and held against the mean over the target
 * time, in which the time by which that was missed counts at the pressure of the shift's end: their difference is what the
 * command lacks. It is nothing for a shift that met its target: the zero of y stays where it is.
 */
function wantedOverReturnLn(
  { y }: Demand,
  { appliedStartKpa, appliedMeanKpa, actualTimeS }: Shift['measures'],
  { torqueGain, overReturnKpa }: Pick<CarryingRow, 'torqueGain' | 'overReturnKpa'>,
  { targetTimeS, returnPressureKpa }: ResponseContext,
): number {
  const applied = appliedMeanKpa === null ? 0 : appliedMeanKpa - returnPressureKpa;
  if (appliedStartKpa === null || actualTimeS === null || !(actualTimeS > 0 && applied > 0)) return y;
  const end = Math.max(0, 2 * applied - (appliedStartKpa - returnPressureKpa));
  const timeS = Math.min(targetTimeS, (1 + FURTHEST_ON) * actualTimeS);
  const meant = applied + (1 - actualTimeS / timeS) * (end - applied);
  // What hardly carries anything by its command carries by its lag: there a ratio of torques says too little of pressure.
  const carried = Math.max(applied, (torqueGain * overReturnKpa) / HIGHEST_GAIN);
  return clippedLn((carried * Math.expm1(y) + applied - meant) / overReturnKpa);
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
