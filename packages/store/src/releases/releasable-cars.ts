import { and, asc, eq, getTableColumns, isNull, type Placeholder, type SQL, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import { holdsAt } from '../calibrations/revision-columns.js';
import type { Db } from '../database/context.js';
import { once } from '../database/once.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { controlUnits } from '../schema/control-units.js';
import { logs } from '../schema/logs.js';
import { people } from '../schema/people.js';
import { dialectDecisions, installations, vehicles } from '../schema/vehicles.js';
import { dialectVerdict, isDialectCleared } from '../vehicles/dialect-verdict.js';
import { holdingDecision, newestObservation, observed } from '../vehicles/observed-dialect.js';
import type { ReleasableCar, ReleaseReads } from './releases.js';

const statedRevision = alias(revisions, 'stated_revision');
const statedCalibration = alias(calibrations, 'stated_calibration');

/** The newest drive of a car that says what its control unit ran. */
const newestStatement = sql`${logs.id} = (
  SELECT telling.id FROM logs AS telling
  WHERE telling.vehicle_id = ${vehicles.id} AND telling.stated_calibration IS NOT NULL
  ORDER BY telling.driven_at_ms DESC, telling.id DESC LIMIT 1)`;

/** See `ReleaseReads.releasableCars`. */
export function releasableCars(db: Db, clock: () => number): ReleaseReads['releasableCars'] {
  const query = (isMeant: SQL) =>
    selectCars(db, sql.placeholder('now'))
      // Nobody is behind a car whose person had her data removed.
      .where(and(isNull(people.erasedAtMs), isMeant))
      .orderBy(asc(sql`${vehicles.title} COLLATE NOCASE`), asc(vehicles.id))
      .prepare();
  const ofPlatform = once(() => query(eq(vehicles.platformId, sql.placeholder('platformId'))));
  const ofVehicle = once(() => query(eq(vehicles.id, sql.placeholder('vehicleId'))));
  return (of) => {
    const asked = 'platformId' in of ? ofPlatform() : ofVehicle();
    return asked.all({ ...of, now: clock() }).map(toCar);
  };
}

function selectCars(db: Db, now: Placeholder) {
  return db
    .select({
      vehicle: getTableColumns(vehicles),
      ownerName: people.name,
      ownerEmail: people.email,
      suspendedAtMs: people.suspendedAtMs,
      observedDialect: observed.dialect,
      observedAgainst: observed.declaredDialect,
      decision: dialectDecisions.decision,
      sinceAtMs: installations.sinceAtMs,
      revision: getTableColumns(revisions),
      calibrationTitle: calibrations.title,
      logId: logs.id,
      statedText: logs.statedCalibration,
      drivenAtMs: logs.drivenAtMs,
      stated: getTableColumns(statedRevision),
      statedTitle: statedCalibration.title,
      unit: getTableColumns(controlUnits),
    })
    .from(vehicles)
    .innerJoin(people, eq(people.id, vehicles.ownerId))
    .leftJoin(observed, newestObservation)
    .leftJoin(dialectDecisions, holdingDecision)
    .leftJoin(installations, and(eq(installations.vehicleId, vehicles.id), holdsAt(now)))
    .leftJoin(revisions, eq(revisions.id, installations.revisionId))
    .leftJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .leftJoin(logs, newestStatement)
    .leftJoin(statedRevision, eq(statedRevision.id, logs.statedRevisionId))
    .leftJoin(statedCalibration, eq(statedCalibration.id, statedRevision.calibrationId))
    .leftJoin(controlUnits, eq(controlUnits.vehicleId, vehicles.id));
}

type CarRow = NonNullable<ReturnType<ReturnType<typeof selectCars>['get']>>;

function toCar(row: CarRow): ReleasableCar {
  const { vehicle, revision, stated, unit } = row;
  const verdict = dialectVerdict(vehicle.declaredDialect, {
    dialect: row.observedDialect,
    against: row.observedAgainst,
  });
  return {
    vehicleId: vehicle.id,
    title: vehicle.title,
    ownerId: vehicle.ownerId,
    ownerName: row.ownerName,
    ownerEmail: row.suspendedAtMs === null ? row.ownerEmail : '',
    platformId: vehicle.platformId,
    engine: vehicle.engine,
    tags: vehicle.tags,
    dialectVerdict: verdict,
    isDialectCleared: isDialectCleared(verdict, row.decision),
    dialect: row.observedDialect ?? vehicle.declaredDialect,
    installed: revision && {
      revision: { id: revision.id, calibrationTitle: row.calibrationTitle ?? '', number: revision.number },
      contentHash: revision.contentHash,
      layoutVersion: revision.layoutVersion,
      sinceAtMs: row.sinceAtMs ?? 0,
    },
    stated:
      row.logId === null
        ? null
        : {
            logId: row.logId,
            text: row.statedText ?? '',
            revision: stated && {
              id: stated.id,
              calibrationTitle: row.statedTitle ?? '',
              number: stated.number,
            },
            contentHash: stated?.contentHash ?? null,
            drivenAtMs: row.drivenAtMs ?? 0,
          },
    unit: unit && {
      id: unit.id,
      serial: unit.serial,
      hardware: unit.hardware,
      firmware: unit.firmware,
      layoutVersion: unit.layoutVersion,
    },
  };
}
