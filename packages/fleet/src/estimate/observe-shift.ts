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
        ? observedResponse(demand, shift.measures, found, { appliedTrimLn, returnPressureKpa })
        : 0,
    weight: demand.kind === 'estimate' ? demand.weight : 0,
    counts: countShift(gradeShift(shift, policy, programId)),
  };
}

/** The response of a shift whose demand ratio is known, on the scale of `pressureResponse` and without any trim. */
export function observedResponse(
  demand: Demand,
  applied: AppliedPressure,
  { gain, isCarrying }: Pick<CarryingRow, 'gain' | 'isCarrying'>,
  { appliedTrimLn, returnPressureKpa }: Required<Pick<ObservationContext, 'appliedTrimLn' | 'returnPressureKpa'>>,
): number {
  const asked = wantedTorqueLn(demand, applied, returnPressureKpa, isCarrying);
  return pressureResponse(asked, gain) + gain * appliedTrimLn;
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

/** Where a shift was commanded. What is not logged is left out. The clutch is the on-coming one. */
export function operatingPointOf(shift: Shift, platform: Platform, programId: string | null): OperatingPoint {
  const { at } = shift;
  const known = {
    shift: shift.kind,
    gear: shift.from,
    program: programId,
    clutch: clutchExchange(platform, shift.from, shift.to).oncoming[0] ?? null,
    load: at.load,
    engineSpeed: at.engineSpeedRpm,
    inputSpeed: at.inputSpeedRpm,
    outputSpeed: at.outputSpeedRpm,
    fluidTemperature: at.fluidTemperatureC,
    pedal: at.pedal,
    pressure: at.applyPressureKpa,
  };
  return Object.fromEntries(Object.entries(known).filter(([, value]) => value !== null));
}
