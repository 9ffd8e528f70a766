import type { Shift } from '@syncline/shifts';
import type { InferInsertModel, InferSelectModel } from 'drizzle-orm';
import { nameOf } from '../calibrations/revision-columns.js';
import type { shifts } from '../schema/shifts.js';
import { DISTURBANCE_BITS, fromBits, GRADE_BITS, toBits } from './bit-set.js';
import type { NewShift, StoredShift } from './shifts.js';

type ShiftInsert = InferInsertModel<typeof shifts>;
type ShiftSelect = InferSelectModel<typeof shifts>;

/** What a shift's row repeats of its log and analysis. */
export type ShiftOrigin = Pick<
  ShiftInsert,
  'logId' | 'vehicleId' | 'platformId' | 'revisionId' | 'drivenAtMs' | 'analysisVersion' | 'policyVersion'
>;

/**
 * Ids count the shifts of a log, so that the same analysis gives the same ids and ids sort in order of the drive. Written
 * out: spreading a shift and its parts into a row takes as long as inserting it.
 */
export function toShiftRow(entry: NewShift, position: number, origin: ShiftOrigin): ShiftInsert {
  const { shift, bands } = entry;
  const { at, measures } = shift;
  return {
    id: `${origin.logId}-${String(position + 1).padStart(5, '0')}`,
    logId: origin.logId,
    vehicleId: origin.vehicleId,
    platformId: origin.platformId,
    revisionId: origin.revisionId,
    drivenAtMs: origin.drivenAtMs,
    analysisVersion: origin.analysisVersion,
    policyVersion: origin.policyVersion,
    kind: shift.kind,
    from: shift.from,
    to: shift.to,
    endedIn: shift.endedIn,
    direction: shift.direction,
    outcome: shift.outcome,
    grades: toBits(GRADE_BITS, entry.grades),
    disturbances: toBits(DISTURBANCE_BITS, shift.disturbances),
    isSkip: shift.isSkip,
    isPowerOn: shift.isPowerOn,
    isHunting: shift.isHunting,
    startIndex: shift.startIndex,
    endIndex: shift.endIndex,
    commandS: shift.commandS,
    commandSource: shift.commandSource,
    inertiaStartS: shift.inertiaStartS,
    flareStartS: shift.flareStartS,
    syncS: shift.syncS,
    ratio10S: shift.ratio10S,
    ratio90S: shift.ratio90S,
    program: entry.program,
    programCode: at.programCode,
    load: at.load,
    inputTorqueNm: at.inputTorqueNm,
    engineSpeedRpm: at.engineSpeedRpm,
    inputSpeedRpm: at.inputSpeedRpm,
    outputSpeedRpm: at.outputSpeedRpm,
    fluidTemperatureC: at.fluidTemperatureC,
    pedal: at.pedal,
    applyPressureKpa: at.applyPressureKpa,
    supplyVoltageV: at.supplyVoltageV,
    flareRpm: measures.flareRpm,
    flareMs: measures.flareMs,
    flareRevolutions: measures.flareRevolutions,
    shiftTimeS: measures.shiftTimeS,
    inertiaTimeS: measures.inertiaTimeS,
    delayS: measures.delayS,
    peakToPeakAcceleration: measures.peakToPeakAcceleration,
    peakJerk: measures.peakJerk,
    tieUpDepth: measures.tieUpDepth,
    tieUpImpulse: measures.tieUpImpulse,
    speedStepRpm: measures.speedStepRpm,
    slipEnergyJ: measures.slipEnergyJ,
    valveOnAfterSyncS: measures.valveOnAfterSyncS,
    actualTimeS: measures.actualTimeS,
    appliedStartKpa: measures.appliedStartKpa,
    appliedMeanKpa: measures.appliedMeanKpa,
    demandRatio: entry.demandRatio,
    demandWeight: entry.demandWeight,
    loadBand: bands.load,
    speedBand: bands.speed,
    fluidTemperatureBand: bands.temperature,
  };
}

/** A row with what its joins add. */
export interface JoinedShift {
  readonly shift: ShiftSelect;
  readonly vehicleTitle: string;
  readonly revisionId: string | null;
  readonly revisionNumber: number | null;
  readonly calibrationTitle: string | null;
}

export function toStoredShift(row: JoinedShift): StoredShift {
  const { shift } = row;
  return {
    id: shift.id,
    logId: shift.logId,
    vehicleId: shift.vehicleId,
    vehicleTitle: row.vehicleTitle,
    revision: nameOf(row),
    drivenAtMs: shift.drivenAtMs,
    analysisVersion: shift.analysisVersion,
    policyVersion: shift.policyVersion,
    shift: toShift(shift),
    grades: fromBits(GRADE_BITS, shift.grades),
    program: shift.program,
    bands: { load: shift.loadBand, speed: shift.speedBand, temperature: shift.fluidTemperatureBand },
    demandRatio: shift.demandRatio,
    demandWeight: shift.demandWeight,
  };
}

function toShift(row: ShiftSelect): Shift {
  return {
    from: row.from,
    to: row.to,
    endedIn: row.endedIn,
    kind: row.kind,
    direction: row.direction,
    isSkip: row.isSkip,
    isPowerOn: row.isPowerOn,
    outcome: row.outcome,
    isHunting: row.isHunting,
    startIndex: row.startIndex,
    endIndex: row.endIndex,
    commandS: row.commandS,
    commandSource: row.commandSource,
    inertiaStartS: row.inertiaStartS,
    flareStartS: row.flareStartS,
    syncS: row.syncS,
    ratio10S: row.ratio10S,
    ratio90S: row.ratio90S,
    at: {
      load: row.load,
      inputTorqueNm: row.inputTorqueNm,
      engineSpeedRpm: row.engineSpeedRpm,
      inputSpeedRpm: row.inputSpeedRpm,
      outputSpeedRpm: row.outputSpeedRpm,
      fluidTemperatureC: row.fluidTemperatureC,
      pedal: row.pedal,
      programCode: row.programCode,
      applyPressureKpa: row.applyPressureKpa,
      supplyVoltageV: row.supplyVoltageV,
    },
    measures: {
      flareRpm: row.flareRpm,
      flareMs: row.flareMs,
      flareRevolutions: row.flareRevolutions,
      shiftTimeS: row.shiftTimeS,
      inertiaTimeS: row.inertiaTimeS,
      delayS: row.delayS,
      peakToPeakAcceleration: row.peakToPeakAcceleration,
      peakJerk: row.peakJerk,
      tieUpDepth: row.tieUpDepth,
      tieUpImpulse: row.tieUpImpulse,
      speedStepRpm: row.speedStepRpm,
      slipEnergyJ: row.slipEnergyJ,
      valveOnAfterSyncS: row.valveOnAfterSyncS,
      actualTimeS: row.actualTimeS,
      appliedStartKpa: row.appliedStartKpa,
      appliedMeanKpa: row.appliedMeanKpa,
    },
    disturbances: fromBits(DISTURBANCE_BITS, row.disturbances),
  };
}
