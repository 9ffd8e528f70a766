import type * as Contract from '@syncline/contract';
import type { AffectedUnit, ControlUnit, UnitRecall, UnitWait } from '@syncline/store';
import type { DetailedUnit } from '../../services/control-units/control-units.js';
import { toInstant, toInstantOrNull } from '../format.js';

export function toUnit(unit: ControlUnit): Contract.ControlUnit {
  return {
    id: unit.id,
    serial: unit.serial,
    platformId: unit.platformId,
    platformTitle: unit.platformTitle,
    hardware: unit.hardware,
    firmware: unit.firmware,
    layoutVersion: unit.layoutVersion,
    holderId: unit.holderId,
    holderName: unit.holderName,
    vehicleId: unit.vehicleId,
    vehicleTitle: unit.vehicleTitle,
    fittedAt: toInstantOrNull(unit.fittedAtMs),
    isRetired: unit.isRetired,
    createdAt: toInstant(unit.createdAtMs),
  };
}

export function toUnitResponse(unit: DetailedUnit): Contract.ControlUnitResponse {
  return { ...toUnit(unit), events: unit.events.map(({ atMs, ...event }) => ({ ...event, at: toInstant(atMs) })) };
}

/** No address leaves: whether one can be written to is enough. */
export function toAffected(unit: AffectedUnit): Contract.AffectedResponse['items'][number] {
  const { personId, personName, personEmail } = unit;
  return { ...toUnit(unit), personId, personName, canBeMailed: personEmail !== '' };
}

export function toUnitRecall({ atMs, ...recall }: UnitRecall & { readonly units: number }): Contract.UnitRecall {
  return { ...recall, at: toInstant(atMs) };
}

export function toUnitWait({ sinceMs, ...wait }: UnitWait): Contract.UnitQueueResponse['items'][number] {
  return { ...wait, since: toInstant(sinceMs) };
}
