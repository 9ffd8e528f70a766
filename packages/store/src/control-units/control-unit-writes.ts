import { and, eq, ne } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { applications } from '../schema/applications.js';
import { controlUnitEvents, controlUnits, unitRecalls, unitWaits } from '../schema/control-units.js';
import { people } from '../schema/people.js';
import { platforms } from '../schema/platforms.js';
import { StoreError } from '../store-error.js';
import { getVehicle } from '../vehicles/vehicle-writes.js';
import type { ControlUnitChange, ControlUnitWrites } from './control-units.js';

type UnitRow = typeof controlUnits.$inferSelect;

export function controlUnitWrites(context: WriteContext): ControlUnitWrites {
  const { db, clock, ids, transaction } = context;

  function addEvent(
    unitId: string,
    event: { readonly byName: string; readonly change: string; readonly note: string },
  ) {
    db.insert(controlUnitEvents)
      .values({ id: ids(), unitId, atMs: clock(), ...event })
      .run();
  }

  function nameOf(personId: string | null): string {
    if (personId === null) return 'nobody';
    const person = db.select({ name: people.name }).from(people).where(eq(people.id, personId)).get();
    if (!person) throw new StoreError('not_found', `There is no person '${personId}'.`);
    return person.name;
  }

  function titleOf(unit: UnitRow, vehicleId: string | null): string {
    if (vehicleId === null) return 'no car';
    const { platformId, title } = getVehicle(context, vehicleId);
    if (platformId !== unit.platformId) {
      throw new StoreError(
        'platform_mismatch',
        `Unit '${unit.serial}' is for platform '${unit.platformId}', the car '${title}' has '${platformId}'.`,
      );
    }
    return title;
  }

  /** What differs, in words. */
  function changesOf(unit: UnitRow, change: ControlUnitChange): string[] {
    const told = {
      hardware: (value: string) => value,
      firmware: (value: string) => value || 'unknown',
      layoutVersion: (value: number | null) => (value === null ? 'unknown' : String(value)),
      holderId: nameOf,
      vehicleId: (value: string | null) => titleOf(unit, value),
      isRetired: (value: boolean) => (value ? 'yes' : 'no'),
    };
    const names = {
      hardware: 'hardware',
      firmware: 'firmware',
      layoutVersion: 'takes layout version',
      holderId: 'held by',
      vehicleId: 'fitted in',
      isRetired: 'retired',
    };
    return (Object.keys(names) as (keyof ControlUnitChange)[]).flatMap((field) => {
      const [was, is] = [unit[field], change[field]];
      if (is === undefined || is === was) return [];
      const tell = told[field] as (value: unknown) => string;
      return [`${names[field]}: ${tell(was)} → ${tell(is)}`];
    });
  }

  /** Takes whatever unit was in the car out of it. */
  function makeRoom(unitId: string, serial: string, vehicleId: string, byName: string): void {
    const others = db
      .select({ id: controlUnits.id })
      .from(controlUnits)
      .where(and(eq(controlUnits.vehicleId, vehicleId), ne(controlUnits.id, unitId)))
      .all();
    for (const { id } of others) {
      db.update(controlUnits).set({ vehicleId: null, fittedAtMs: null }).where(eq(controlUnits.id, id)).run();
      addEvent(id, { byName, change: `fitted in: no car, as ${serial} took its place`, note: '' });
    }
  }

  return {
    enter: ({ actor, note, ...unit }) =>
      transaction(() => {
        const platform = db.select({ id: platforms.id }).from(platforms).where(eq(platforms.id, unit.platformId)).get();
        if (!platform) throw new StoreError('not_found', `There is no platform '${unit.platformId}'.`);
        const known = db
          .select({ id: controlUnits.id })
          .from(controlUnits)
          .where(eq(controlUnits.serial, unit.serial))
          .get();
        if (known) throw new StoreError('exists', `A control unit with serial '${unit.serial}' is known already.`);
        const id = ids();
        db.insert(controlUnits)
          .values({ id, ...unit, createdAtMs: clock() })
          .run();
        const change = `entered: hardware ${unit.hardware}, firmware ${unit.firmware || 'unknown'}`;
        addEvent(id, { byName: actor.name, change, note });
        appendAudit(context, {
          actor,
          action: 'unit.enter',
          target: `unit:${id}`,
          detail: `${unit.serial}, ${change}`,
        });
        return id;
      }),

    change: ({ actor, unitId, change, note }) =>
      transaction(() => {
        const unit = db.select().from(controlUnits).where(eq(controlUnits.id, unitId)).get();
        if (!unit) throw new StoreError('not_found', `There is no control unit '${unitId}'.`);
        const changes = changesOf(unit, change);
        const { vehicleId } = change;
        const isMoved = vehicleId !== undefined && vehicleId !== unit.vehicleId;
        if (isMoved && vehicleId !== null) makeRoom(unitId, unit.serial, vehicleId, actor.name);
        const fitting = isMoved ? { fittedAtMs: vehicleId === null ? null : clock() } : {};
        if (changes.length > 0) {
          db.update(controlUnits)
            .set({ ...change, ...fitting })
            .where(eq(controlUnits.id, unitId))
            .run();
        }
        const told = changes.join('; ');
        if (told !== '' || note !== '') addEvent(unitId, { byName: actor.name, change: told, note });
        appendAudit(context, {
          actor,
          action: 'unit.change',
          target: `unit:${unitId}`,
          detail: [unit.serial, told, note].filter(Boolean).join(': '),
        });
      }),

    recall: ({ actor, make, words }) =>
      transaction(() => {
        const id = ids();
        db.insert(unitRecalls)
          .values({ id, ...make, words, byName: actor.name, atMs: clock() })
          .run();
        appendAudit(context, {
          actor,
          action: 'unit.recall',
          target: `unitRecall:${id}`,
          detail: `hardware ${make.hardware ?? 'any'}, firmware ${make.firmware ?? 'any'}: ${words}`,
        });
        return id;
      }),

    setWait: ({ actor, applicationId, waits }) =>
      transaction(() => {
        const application = db
          .select({ name: applications.name })
          .from(applications)
          .where(eq(applications.id, applicationId))
          .get();
        if (!application) throw new StoreError('not_found', `There is no application '${applicationId}'.`);
        if (waits) {
          db.insert(unitWaits)
            .values({ applicationId, sinceMs: clock(), byName: actor.name })
            .onConflictDoNothing()
            .run();
        } else {
          db.delete(unitWaits).where(eq(unitWaits.applicationId, applicationId)).run();
        }
        appendAudit(context, {
          actor,
          action: 'unit.wait',
          target: `application:${applicationId}`,
          detail: waits ? 'waits for a unit' : 'waits for a unit no longer',
        });
      }),
  };
}
