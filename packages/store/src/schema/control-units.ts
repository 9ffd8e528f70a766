import { index, integer, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import { applications } from './applications.js';
import { people } from './people.js';
import { platforms } from './platforms.js';
import { vehicles } from './vehicles.js';

/** Control units as things: where each is now. How it came there is in its events. */
export const controlUnits = sqliteTable(
  'control_units',
  {
    id: text('id').primaryKey(),
    serial: text('serial').notNull(),
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    hardware: text('hardware').notNull(),
    /** As it last reported; empty while unknown. */
    firmware: text('firmware').notNull(),
    /** Layout version that this firmware takes; null while unknown. */
    layoutVersion: integer('layout_version'),
    holderId: text('holder_id').references(() => people.id),
    vehicleId: text('vehicle_id').references(() => vehicles.id),
    fittedAtMs: integer('fitted_at_ms'),
    isRetired: integer('is_retired', { mode: 'boolean' }).notNull().default(false),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [
    uniqueIndex('control_units_by_serial').on(table.serial),
    uniqueIndex('control_units_by_vehicle').on(table.vehicleId),
    index('control_units_by_holder').on(table.holderId),
    index('control_units_by_make').on(table.hardware, table.firmware),
  ],
);

/** What became of a unit, in words and with where it was afterwards. Append only, by trigger. */
export const controlUnitEvents = sqliteTable(
  'control_unit_events',
  {
    id: text('id').primaryKey(),
    unitId: text('unit_id')
      .notNull()
      .references(() => controlUnits.id),
    atMs: integer('at_ms').notNull(),
    byName: text('by_name').notNull(),
    /** What changed, e.g. `firmware: 1.2 → 1.3`. */
    change: text('change').notNull(),
    note: text('note').notNull(),
  },
  (table) => [index('control_unit_events_by_unit').on(table.unitId, table.id)],
);

/** A call to the people who hold units of some hardware or firmware. Append only, by trigger. */
export const unitRecalls = sqliteTable('unit_recalls', {
  id: text('id').primaryKey(),
  /** Null for any. */
  hardware: text('hardware'),
  firmware: text('firmware'),
  words: text('words').notNull(),
  byName: text('by_name').notNull(),
  atMs: integer('at_ms').notNull(),
});

/** Applicants who cannot begin before there is a unit for them. Goes with the application. */
export const unitWaits = sqliteTable('unit_waits', {
  applicationId: text('application_id')
    .primaryKey()
    .references(() => applications.id, { onDelete: 'cascade' }),
  sinceMs: integer('since_ms').notNull(),
  byName: text('by_name').notNull(),
});
