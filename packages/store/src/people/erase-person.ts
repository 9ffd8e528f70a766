import { and, eq, inArray, sql } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { dropCandidate } from '../analysis-runs/renew-candidate.js';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { markRemoved } from '../logs/remove-originals.js';
import { countEvidenceOf } from '../proposals/count-evidence.js';
import { candidateResults } from '../schema/analysis-runs.js';
import { applications } from '../schema/applications.js';
import { busCaptures } from '../schema/captures.js';
import { controlUnitEvents, controlUnits } from '../schema/control-units.js';
import { openidLinks, passwordResets, recoveryCodes, secondFactors } from '../schema/credentials.js';
import { jobs } from '../schema/jobs.js';
import { logArtefacts, logs, notes } from '../schema/logs.js';
import { notices } from '../schema/notices.js';
import { invitations, people, sessions } from '../schema/people.js';
import { adaptations } from '../schema/proposals.js';
import { downloads, releaseCars, releaseEvents } from '../schema/releases.js';
import { replies } from '../schema/replies.js';
import { requestCars } from '../schema/requests.js';
import { shifts } from '../schema/shifts.js';
import { tokens } from '../schema/tokens.js';
import { uploads } from '../schema/uploads.js';
import { dialectObservations, signalMaps, vehicles } from '../schema/vehicles.js';
import { StoreError } from '../store-error.js';

/** What stands in the place of the name; triggers of append-only tables let this one alone take its place. */
export const FORMER_MEMBER = 'Former member';
const FORMER_CAR = 'Former car';
const FILE_REMOVED = 'removed';

export interface ErasedPerson {
  readonly vehicleCount: number;
  readonly logCount: number;
  /** Originals and signal files that no row refers to any more, below the data folder: the caller removes them. */
  readonly files: readonly string[];
}

/** See `PeopleWrites.erase`. Part of a larger transaction. */
export function erasePerson(
  context: WriteContext,
  { actor, personId }: { readonly actor: Actor; readonly personId: string },
): ErasedPerson {
  const { db, clock } = context;
  const person = db.select().from(people).where(eq(people.id, personId)).get();
  if (!person || person.erasedAtMs !== null) throw new StoreError('not_found', `There is no person '${personId}'.`);
  assertErasable(context, person);
  const vehicleIds = db.select({ id: vehicles.id }).from(vehicles).where(eq(vehicles.ownerId, personId)).all();
  const logIds: string[] = [];
  const files: string[] = [];
  for (const { id } of vehicleIds) {
    const erased = eraseCar(context, { vehicleId: id, owner: person });
    logIds.push(...erased.logIds);
    files.push(...erased.files);
  }
  files.push(...eraseUploads(context, personId));
  eraseWays(context, person);
  eraseName(context, person);
  db.update(people)
    .set({
      name: FORMER_MEMBER,
      email: `${personId}@erased.invalid`,
      passwordHash: '',
      suspendedAtMs: person.suspendedAtMs ?? clock(),
      erasedAtMs: clock(),
    })
    .where(eq(people.id, personId))
    .run();
  const isSelf = actor.id === personId;
  appendAudit(context, {
    actor: isSelf ? { ...actor, name: FORMER_MEMBER } : actor,
    action: 'person.erase',
    target: `person:${personId}`,
    detail: `${isSelf ? 'asked for it herself' : 'asked for by a maintainer'}; ${vehicleIds.length} cars, ${logIds.length} drives made nameless`,
  });
  return { vehicleCount: vehicleIds.length, logCount: logIds.length, files };
}

/** Who decided on what cars run is part of the record of that; and a unit has to be found again when it is recalled. */
function assertErasable({ db }: WriteContext, { id, role }: typeof people.$inferSelect): void {
  if (role === 'maintainer' || role === 'reviewer') {
    throw new StoreError(
      'person_not_erasable',
      `A ${role} decided on what cars run, and her name is part of the record of that. Suspend the account instead.`,
    );
  }
  const held = db
    .select({ serial: controlUnits.serial })
    .from(controlUnits)
    .leftJoin(vehicles, eq(vehicles.id, controlUnits.vehicleId))
    .where(sql`NOT ${controlUnits.isRetired} AND (${controlUnits.holderId} = ${id} OR ${vehicles.ownerId} = ${id})`)
    .all();
  if (held.length === 0) return;
  const serials = held.map(({ serial }) => serial).join(', ');
  throw new StoreError(
    'units_held',
    `Control units ${serials} are with her: they must be found when they are recalled.`,
  );
}

/** Keeps shifts, measures and engine facts under the id of the car, which says nothing of anybody. */
function eraseCar(
  context: WriteContext,
  { vehicleId, owner }: { readonly vehicleId: string; readonly owner: { readonly id: string; readonly name: string } },
): { readonly logIds: string[]; readonly files: string[] } {
  const { db } = context;
  const found = db
    .select({ id: logs.id, sha256: logs.sha256, drivenAtMs: logs.drivenAtMs, signalFile: logArtefacts.signalFile })
    .from(logs)
    .leftJoin(logArtefacts, eq(logArtefacts.logId, logs.id))
    .where(eq(logs.vehicleId, vehicleId))
    .all();
  const files = found.flatMap(({ signalFile }) => (signalFile === null ? [] : [`signals/${signalFile}`]));
  for (const log of found) files.push(...eraseLog(context, log));
  countEvidenceOf(db, { vehicleId });
  db.delete(signalMaps).where(eq(signalMaps.vehicleId, vehicleId)).run();
  const nameless = { byName: FORMER_MEMBER, note: '' };
  const byOwner = <T extends typeof dialectObservations | typeof adaptations>(table: T) =>
    and(eq(table.vehicleId, vehicleId), eq(table.byName, owner.name));
  db.update(dialectObservations).set(nameless).where(byOwner(dialectObservations)).run();
  db.update(adaptations).set(nameless).where(byOwner(adaptations)).run();
  // Nobody waits for drives of it any more.
  db.update(requestCars)
    .set({
      reason: '',
      state: sql`CASE WHEN ${requestCars.state} = 'asked' THEN 'declined' ELSE ${requestCars.state} END`,
    })
    .where(eq(requestCars.vehicleId, vehicleId))
    .run();
  db.update(releaseCars).set({ answerNote: '' }).where(eq(releaseCars.vehicleId, vehicleId)).run();
  db.update(vehicles).set({ title: FORMER_CAR, note: '', tags: [] }).where(eq(vehicles.id, vehicleId)).run();
  files.push(...markRemoved(context, [...new Set(found.map(({ sha256 }) => sha256))], owner.id));
  return { logIds: found.map(({ id }) => id), files };
}

/** A drive without its name, its hour, its file and what people wrote of it. Returns files of results that waited. */
function eraseLog(context: WriteContext, log: { readonly id: string; readonly drivenAtMs: number }): string[] {
  const { db } = context;
  const yearMs = Date.UTC(new Date(log.drivenAtMs).getUTCFullYear(), 0);
  // Whoever works on it finds the lease lost and keeps nothing.
  db.delete(jobs)
    .where(sql`${jobs.logId} = ${log.id} OR ${jobs.inputKey} LIKE ${`%/${log.id}`}`)
    .run();
  const waiting = db.select().from(candidateResults).where(eq(candidateResults.logId, log.id)).all();
  for (const { runId } of waiting) dropCandidate(context, runId, log.id);
  db.delete(notes).where(eq(notes.logId, log.id)).run();
  db.delete(busCaptures).where(eq(busCaptures.logId, log.id)).run();
  db.update(logArtefacts)
    .set({ signalFile: null, signalIds: [], readFindings: null, inspection: null, marks: [] })
    .where(eq(logArtefacts.logId, log.id))
    .run();
  db.update(shifts).set({ drivenAtMs: yearMs }).where(eq(shifts.logId, log.id)).run();
  db.update(logs)
    .set({
      fileName: FILE_REMOVED,
      drivenAtMs: yearMs,
      uploadedAtMs: yearMs,
      state: sql`CASE WHEN ${logs.state} = 'ready' THEN 'ready' ELSE 'refused' END`,
    })
    .where(eq(logs.id, log.id))
    .run();
  return waiting.flatMap(({ signalFile }) => (signalFile === null ? [] : [`signals/${signalFile}`]));
}

/** Uploads that are whole stay as a line without a name; those under way go. */
function eraseUploads({ db }: WriteContext, personId: string): string[] {
  const underWay = db
    .select({ id: uploads.id })
    .from(uploads)
    .where(sql`${uploads.personId} = ${personId} AND ${uploads.state} = 'receiving'`)
    .all()
    .map(({ id }) => id);
  db.delete(uploads).where(inArray(uploads.id, underWay)).run();
  db.update(uploads)
    .set({ fileName: FILE_REMOVED, startedBy: { kind: 'system', id: null, name: FORMER_MEMBER, requestId: '' } })
    .where(eq(uploads.personId, personId))
    .run();
  return underWay.map((id) => `uploads/${id}`);
}

/** Everything that she could come in by, or be reached by. */
function eraseWays({ db }: WriteContext, { id, email }: { readonly id: string; readonly email: string }): void {
  db.delete(sessions).where(eq(sessions.personId, id)).run();
  db.delete(tokens).where(eq(tokens.personId, id)).run();
  db.delete(secondFactors).where(eq(secondFactors.personId, id)).run();
  db.delete(recoveryCodes).where(eq(recoveryCodes.personId, id)).run();
  db.delete(openidLinks).where(eq(openidLinks.personId, id)).run();
  db.delete(passwordResets).where(eq(passwordResets.personId, id)).run();
  db.delete(replies).where(eq(replies.personId, id)).run();
  db.delete(notices).where(eq(notices.recipient, email)).run();
  db.delete(applications).where(eq(applications.email, email)).run();
  db.update(invitations).set({ note: '' }).where(eq(invitations.usedById, id)).run();
}

/** Her name where acts are kept for good. Where two have one name, both go from what units went through. */
function eraseName({ db }: WriteContext, { id, name }: { readonly id: string; readonly name: string }): void {
  db.update(downloads).set({ personName: FORMER_MEMBER }).where(eq(downloads.personId, id)).run();
  // She alone answers for her cars.
  db.update(releaseEvents)
    .set({ byName: FORMER_MEMBER, reason: '' })
    .where(
      sql`${releaseEvents.kind} IN ('installed', 'failed') AND ${releaseEvents.byName} = ${name}
        AND ${releaseEvents.releaseId} IN (SELECT release_cars.release_id FROM release_cars
          INNER JOIN vehicles ON vehicles.id = release_cars.vehicle_id WHERE vehicles.owner_id = ${id})`,
    )
    .run();
  db.update(controlUnitEvents).set({ byName: FORMER_MEMBER, note: '' }).where(eq(controlUnitEvents.byName, name)).run();
}
