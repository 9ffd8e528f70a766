import type { Platform } from '@syncline/calibration';
import type * as Contract from '@syncline/contract';
import { type CoverageGap, DEFAULT_GAP_OPTIONS } from '@syncline/fleet';
import type { DriveRequest, RequestReason } from '@syncline/store';
import type { Actor } from '../../services/actor.js';
import { FLUID_TEMPERATURE_BANDS, LOAD_BANDS } from '../../services/fleet.js';
import type { RankedGaps, SuitedCar } from '../../services/requests/gaps.js';
import { progressOf, shiftsPerCar } from '../../services/requests/progress.js';
import { toInstant, toInstantOrNull, toRevisionLabel } from '../format.js';

export function toGaps({ platform, gaps, model }: RankedGaps, open: readonly DriveRequest[]): Contract.GapsResponse {
  const { askShifts, rateBound, minShifts, minVehicles } = DEFAULT_GAP_OPTIONS;
  return {
    items: gaps.map((gap) => toGap(gap, platform, open)),
    askShifts,
    rateBound,
    carCorrelation: model.correlations.car,
    neededShifts: minShifts,
    neededVehicles: minVehicles,
  };
}

function toGap(gap: CoverageGap, platform: Platform, open: readonly DriveRequest[]): Contract.CoverageGap {
  const { kind, loadBand, temperatureBand, wantedShifts, wantedVehicles } = gap;
  const isHere = (request: DriveRequest) =>
    request.kind === kind && request.loadBand === loadBand && request.fluidTemperatureBand === temperatureBand;
  return {
    ...toReason(gap),
    ...gearsOf(platform, kind),
    load: bandOf(LOAD_BANDS, loadBand),
    fluidTemperature: bandOf(FLUID_TEMPERATURE_BANDS, temperatureBand),
    lacks: [...gap.lacks],
    wantedShifts,
    wantedVehicles,
    openRequests: open.filter(isHere).length,
  };
}

export function toGapCar({ car, ...suited }: SuitedCar): Contract.GapCar {
  return {
    ...suited,
    title: car.title,
    ownerName: car.ownerName,
    dialect: car.observedDialect,
    revisionLabel: car.revision && toRevisionLabel(car.revision),
    lastDrivenAt: toInstantOrNull(car.lastDrivenAtMs),
    openRequests: car.openRequests,
  };
}

export function toDriveRequest(actor: Actor, request: DriveRequest, platform: Platform): Contract.DriveRequest {
  const { shifts, vehicles } = progressOf(request);
  const broughtBy = new Map(request.brought.map((car) => [car.vehicleId, car.shifts]));
  return {
    id: request.id,
    platformId: request.platformId,
    platformTitle: request.platformTitle,
    revisionId: request.revision?.id ?? null,
    revisionLabel: request.revision && toRevisionLabel(request.revision),
    ...gearsOf(platform, request.kind),
    load: bandOf(LOAD_BANDS, request.loadBand),
    fluidTemperature: bandOf(FLUID_TEMPERATURE_BANDS, request.fluidTemperatureBand),
    program: request.program,
    words: request.words,
    wantedShifts: request.wantedShifts,
    wantedVehicles: request.wantedVehicles,
    shiftsPerCar: shiftsPerCar(request),
    state: request.state,
    reason: toReason(request.reason),
    progress: { shifts, vehicles },
    createdByName: request.createdByName,
    createdAt: toInstant(request.createdAtMs),
    expiresAt: toInstant(request.expiresAtMs),
    closedAt: toInstantOrNull(request.closedAtMs),
    closedByName: request.closedByName,
    closingNote: request.closingNote,
    cars: request.cars.map(({ vehicleId, title, ownerId, ownerName, state, reason, answeredAtMs }) => ({
      vehicleId,
      title,
      ownerName,
      state,
      reason,
      answeredAt: toInstantOrNull(answeredAtMs),
      shifts: broughtBy.get(vehicleId) ?? 0,
      isOwn: ownerId === actor.id,
    })),
  };
}

/** The figures alone: what carries them may say more. */
function toReason(found: RequestReason): Contract.GainReason {
  const { shifts, vehicles, rate, widthNow, widthAfter, usageShare, probabilityAbove, gain } = found;
  const missingDialects = [...found.missingDialects];
  return { shifts, vehicles, missingDialects, rate, widthNow, widthAfter, usageShare, probabilityAbove, gain };
}

function gearsOf(platform: Platform, kind: string): { kind: string; from: number; to: number } {
  const shift = platform.shifts.find(({ id }) => id === kind);
  if (!shift) throw new Error(`platform ${platform.id} has no shift ${kind}`);
  return { kind, from: shift.from, to: shift.to };
}

function bandOf(bands: readonly Contract.Band[], index: number): Contract.Band {
  const band = bands.find((entry) => entry.index === index);
  if (!band) throw new Error(`there is no band ${index}`);
  return band;
}
