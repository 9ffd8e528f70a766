import { index, integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { RequestReason } from '../requests/requests.js';
import { revisions } from './calibrations.js';
import { people } from './people.js';
import { platforms } from './platforms.js';
import { vehicles } from './vehicles.js';

/** Operating points where evidence is missing, asked of cars. What was asked never changes; only its end is added. */
export const driveRequests = sqliteTable(
  'drive_requests',
  {
    id: text('id').primaryKey(),
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    /** Null counts shifts under any revision. */
    revisionId: text('revision_id').references(() => revisions.id),
    kind: text('kind').notNull(),
    loadBand: integer('load_band').notNull(),
    fluidTemperatureBand: integer('fluid_temperature_band').notNull(),
    /** Null counts shifts in any program. */
    program: text('program'),
    wantedShifts: integer('wanted_shifts').notNull(),
    wantedVehicles: integer('wanted_vehicles').notNull(),
    words: text('words').notNull(),
    /** What was known of the point when it was asked. */
    reason: text('reason', { mode: 'json' }).$type<RequestReason>().notNull(),
    state: text('state', { enum: ['open', 'met', 'withdrawn', 'expired'] }).notNull(),
    createdById: text('created_by_id').references(() => people.id),
    createdByName: text('created_by_name').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    expiresAtMs: integer('expires_at_ms').notNull(),
    closedAtMs: integer('closed_at_ms'),
    closedByName: text('closed_by_name'),
    closingNote: text('closing_note').notNull().default(''),
  },
  (table) => [index('drive_requests_by_state').on(table.state, table.platformId, table.id)],
);

export const requestCars = sqliteTable(
  'request_cars',
  {
    requestId: text('request_id')
      .notNull()
      .references(() => driveRequests.id),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    state: text('state', { enum: ['asked', 'declined', 'met'] }).notNull(),
    reason: text('reason').notNull().default(''),
    answeredAtMs: integer('answered_at_ms'),
  },
  (table) => [
    primaryKey({ columns: [table.requestId, table.vehicleId] }),
    index('request_cars_by_vehicle').on(table.vehicleId, table.requestId),
  ],
);

/** What every car of the platform had brought when its request was closed; an open one is counted from the shifts. */
export const requestTallies = sqliteTable(
  'request_tallies',
  {
    requestId: text('request_id')
      .notNull()
      .references(() => driveRequests.id),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    shifts: integer('shifts').notNull(),
  },
  (table) => [primaryKey({ columns: [table.requestId, table.vehicleId] })],
);
