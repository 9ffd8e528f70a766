import { and, asc, desc, eq, getTableColumns, ne, or, type SQL, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import type { Scope } from '../actor.js';
import type { Db } from '../database/context.js';
import { applications } from '../schema/applications.js';
import { controlUnitEvents, controlUnits, unitRecalls, unitWaits } from '../schema/control-units.js';
import { people } from '../schema/people.js';
import { platforms } from '../schema/platforms.js';
import { vehicles } from '../schema/vehicles.js';
import type { ControlUnitReads, UnitMake } from './control-units.js';

const carOwner = alias(people, 'car_owner');

export function controlUnitReads(db: Db): ControlUnitReads {
  return {
    list: (scope) =>
      selectUnits(db)
        .where(isSeenBy(scope))
        .orderBy(asc(sql`${controlUnits.serial} COLLATE NOCASE`), asc(controlUnits.id))
        .all(),

    find: (scope, unitId) =>
      selectUnits(db)
        .where(and(eq(controlUnits.id, unitId), isSeenBy(scope)))
        .get(),

    events(unitId) {
      const { unitId: _unitId, ...columns } = getTableColumns(controlUnitEvents);
      return db
        .select(columns)
        .from(controlUnitEvents)
        .where(eq(controlUnitEvents.unitId, unitId))
        .orderBy(desc(controlUnitEvents.id))
        .all();
    },

    affected: (make) =>
      db
        .select({
          ...unitColumns,
          ownerId: carOwner.id,
          ownerName: carOwner.name,
          ownerEmail: carOwner.email,
          ownerSuspendedAtMs: carOwner.suspendedAtMs,
          holderEmail: people.email,
          holderSuspendedAtMs: people.suspendedAtMs,
        })
        .from(controlUnits)
        .innerJoin(platforms, eq(platforms.id, controlUnits.platformId))
        .leftJoin(people, eq(people.id, controlUnits.holderId))
        .leftJoin(vehicles, eq(vehicles.id, controlUnits.vehicleId))
        .leftJoin(carOwner, eq(carOwner.id, vehicles.ownerId))
        .where(and(eq(controlUnits.isRetired, false), isOfMake(make)))
        .orderBy(asc(sql`${controlUnits.serial} COLLATE NOCASE`))
        .all()
        .map(({ ownerId, ownerName, ownerEmail, ownerSuspendedAtMs, holderEmail, holderSuspendedAtMs, ...unit }) => {
          const isHeld = unit.holderId !== null;
          const isSuspended = (isHeld ? holderSuspendedAtMs : ownerSuspendedAtMs) !== null;
          return {
            ...unit,
            personId: unit.holderId ?? ownerId,
            personName: unit.holderName ?? ownerName,
            personEmail: isSuspended ? '' : ((isHeld ? holderEmail : ownerEmail) ?? ''),
          };
        }),

    recalls: () => db.select().from(unitRecalls).orderBy(desc(unitRecalls.id)).all(),

    waits: () =>
      db
        .select({
          applicationId: applications.id,
          name: applications.name,
          car: applications.car,
          platformId: applications.platformId,
          platformTitle: platforms.title,
          state: applications.state,
          sinceMs: unitWaits.sinceMs,
          byName: unitWaits.byName,
        })
        .from(unitWaits)
        .innerJoin(applications, eq(applications.id, unitWaits.applicationId))
        .leftJoin(platforms, eq(platforms.id, applications.platformId))
        .where(ne(applications.state, 'declined'))
        .orderBy(asc(unitWaits.sinceMs), asc(applications.id))
        .all(),
  };
}

const unitColumns = {
  ...getTableColumns(controlUnits),
  platformTitle: platforms.title,
  holderName: people.name,
  vehicleTitle: vehicles.title,
};

function selectUnits(db: Db) {
  return db
    .select(unitColumns)
    .from(controlUnits)
    .innerJoin(platforms, eq(platforms.id, controlUnits.platformId))
    .leftJoin(people, eq(people.id, controlUnits.holderId))
    .leftJoin(vehicles, eq(vehicles.id, controlUnits.vehicleId));
}

function isSeenBy({ ownerId }: Scope): SQL | undefined {
  if (ownerId === undefined) return undefined;
  return or(eq(controlUnits.holderId, ownerId), eq(vehicles.ownerId, ownerId));
}

function isOfMake({ hardware, firmware }: UnitMake): SQL | undefined {
  return and(
    hardware === null ? undefined : eq(controlUnits.hardware, hardware),
    firmware === null ? undefined : eq(controlUnits.firmware, firmware),
  );
}
