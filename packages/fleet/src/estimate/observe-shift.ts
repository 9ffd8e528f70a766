import { clutchExchange, type OperatingPoint, type Platform } from '@syncline/calibration';
import { type CarFacts, demandRatio, type GradingPolicy, gradeShift, type Shift } from '@syncline/shifts';
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
}

export type ObservationResult =
  | ({ readonly kind: 'observation' } & ShiftObservation)
  | Extract<DesignRowResult, { kind: 'insufficient' }>;

/**
 * The observation of one shift: its demand ratio as response, its row, its grades. A shift that has grades but no demand
 * ratio (it never synchronised, or its torque is unknown) counts with weight 0, so that its flare is not overlooked.
 */
export function observeShift(shift: Shift, context: ObservationContext): ObservationResult {
  const { platform, car, policy, programId, appliedTrimLn = 0 } = context;
  const row = context.rowAt(operatingPointOf(shift, platform, programId));
  if (row.kind === 'insufficient') return row;
  const demand = demandRatio(shift, car, policy, programId);
  return {
    kind: 'observation',
    shiftKind: shift.kind,
    row,
    y: demand.kind === 'estimate' ? pressureResponse(demand.y, row.gain) + row.gain * appliedTrimLn : 0,
    weight: demand.kind === 'estimate' ? demand.weight : 0,
    counts: countShift(gradeShift(shift, policy, programId)),
  };
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
