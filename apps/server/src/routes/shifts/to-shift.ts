import type * as Contract from '@syncline/contract';
import type { ShiftFilter, StoredLockUp, StoredShift } from '@syncline/store';
import { toInstant, toRevisionLabel } from '../format.js';

export function toShiftRow(stored: StoredShift): Contract.ShiftRow {
  const { shift, revision } = stored;
  const { at, measures } = shift;
  return {
    id: stored.id,
    logId: stored.logId,
    vehicleId: stored.vehicleId,
    vehicleTitle: stored.vehicleTitle,
    revisionId: revision?.id ?? null,
    revisionLabel: revision && toRevisionLabel(revision),
    kind: shift.kind,
    from: shift.from,
    to: shift.to,
    direction: shift.direction,
    outcome: shift.outcome,
    grades: [...stored.grades],
    isPowerOn: shift.isPowerOn,
    isHunting: shift.isHunting,
    isSkip: shift.isSkip,
    commandS: shift.commandS,
    commandSource: shift.commandSource,
    flareStartS: shift.flareStartS,
    inertiaStartS: shift.inertiaStartS,
    syncS: shift.syncS,
    startIndex: shift.startIndex,
    endIndex: shift.endIndex,
    program: stored.program,
    load: at.load,
    inputTorqueNm: at.inputTorqueNm,
    inputSpeedRpm: at.inputSpeedRpm,
    outputSpeedRpm: at.outputSpeedRpm,
    fluidTemperatureC: at.fluidTemperatureC,
    pedal: at.pedal,
    applyPressureKpa: at.applyPressureKpa,
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
    slipEnergyJ: measures.slipEnergyJ,
    valveOnAfterSyncS: measures.valveOnAfterSyncS,
    demandRatio: stored.demandRatio,
    demandWeight: stored.demandWeight,
    disturbances: [...shift.disturbances],
    drivenAt: toInstant(stored.drivenAtMs),
    analysisVersion: stored.analysisVersion,
    policyVersion: stored.policyVersion,
  };
}

export function toLockUpRow(episode: StoredLockUp): Contract.LockUpRow {
  const { id, commandS, madeS, releasedS, gear, timeToLockS, steadySlipRpm, overshootRpm, judderRpm } = episode;
  return {
    id,
    commandS,
    madeS,
    releasedS,
    gear,
    timeToLockS,
    steadySlipRpm,
    overshootRpm,
    judderRpm,
    verdict: episode.verdict,
    shiftsInside: episode.shiftsInside,
  };
}

/** The filter of the contract in the words of the store. */
export function fromShiftFilter(query: Contract.ShiftFilter): ShiftFilter {
  const { platform, revision, vehicle, log, ...rest } = query;
  return { platformId: platform, revisionId: revision, vehicleId: vehicle, logId: log, ...rest };
}
