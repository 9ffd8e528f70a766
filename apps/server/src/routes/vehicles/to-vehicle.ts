import type * as Contract from '@syncline/contract';
import type { VehicleDetail, VehicleSummary } from '@syncline/store';
import { carRate } from '../../services/rates.js';
import type { KindOutcome, VehicleDialect } from '../../services/vehicles.js';
import { toInstant, toInstantOrNull, toRevisionLabel } from '../format.js';
import { toCaptureCheck } from './to-capture.js';

export function toVehicleSummary(vehicle: VehicleSummary): Contract.VehicleSummary {
  const { id, title, ownerId, ownerName, platformId, platformTitle, engine, revision, counts } = vehicle;
  return {
    id,
    title,
    ownerId,
    ownerName,
    platformId,
    platformTitle,
    engine,
    tags: [...vehicle.tags],
    declaredDialect: vehicle.declaredDialect,
    observedDialect: vehicle.observedDialect,
    dialectVerdict: vehicle.dialectVerdict,
    isDialectCleared: vehicle.isDialectCleared,
    revisionId: revision?.id ?? null,
    revisionLabel: revision && toRevisionLabel(revision),
    logCount: vehicle.logCount,
    shiftCount: counts.shifts,
    flare: carRate(counts, 'flare'),
    tieUp: carRate(counts, 'tieUp'),
    lastDrivenAt: toInstantOrNull(vehicle.lastDrivenAtMs),
  };
}

export function toVehicleResponse(vehicle: VehicleDetail, outcomeByShift: KindOutcome[]): Contract.VehicleResponse {
  return {
    ...toVehicleSummary(vehicle),
    isFormer: vehicle.isFormer,
    massKg: vehicle.massKg,
    ratedInputTorqueNm: vehicle.ratedInputTorqueNm,
    inputInertiaKgM2: vehicle.inputInertiaKgM2,
    tyreRadiusM: vehicle.tyreRadiusM,
    finalDriveRatio: vehicle.finalDriveRatio,
    note: vehicle.note,
    createdAt: toInstant(vehicle.createdAtMs),
    installations: vehicle.installations.map(({ id, revision, contentHash, sinceAtMs, untilAtMs }) => ({
      id,
      revisionId: revision.id,
      revisionLabel: toRevisionLabel(revision),
      contentHash,
      sinceAt: toInstant(sinceAtMs),
      untilAt: toInstantOrNull(untilAtMs),
    })),
    observations: vehicle.observations.map(({ observedAtMs, ...rest }) => ({
      ...rest,
      observedAt: toInstant(observedAtMs),
    })),
    outcomeByShift,
  };
}

export function toVehicleDialect({ vehicle, reason, checks }: VehicleDialect): Contract.VehicleDialectResponse {
  return {
    declaredDialect: vehicle.declaredDialect,
    observedDialect: vehicle.observedDialect,
    verdict: vehicle.dialectVerdict,
    isCleared: vehicle.isDialectCleared,
    reason,
    decisions: vehicle.decisions.map(({ decidedAtMs, lapsedAtMs, ...decision }) => ({
      ...decision,
      decidedAt: toInstant(decidedAtMs),
      lapsedAt: toInstantOrNull(lapsedAtMs),
    })),
    checks: checks.map(toCaptureCheck),
  };
}
