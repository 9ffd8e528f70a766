import type { BusTraffic, DialectDoubt } from '@syncline/drivelog';
import { index, integer, real, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { CaptureScore } from '../captures/captures.js';
import { logs } from './logs.js';
import { dialectObservations, vehicles } from './vehicles.js';

/** Logs that are captures of a bus: how it was spoken, and what the newest check made of that. */
export const busCaptures = sqliteTable(
  'bus_captures',
  {
    logId: text('log_id')
      .primaryKey()
      .references(() => logs.id),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    traffics: text('traffics', { mode: 'json' }).$type<readonly BusTraffic[]>().notNull(),
    /** What was declared when it was first checked. */
    declaredDialect: text('declared_dialect'),
    checkedAtMs: integer('checked_at_ms').notNull(),
    /** The bus that the check is about; null when the capture had no readable frame. */
    busInterface: text('bus_interface'),
    frames: integer('frames').notNull(),
    durationS: real('duration_s').notNull(),
    identifierCount: integer('identifier_count').notNull(),
    observedDialect: text('observed_dialect'),
    doubt: text('doubt').$type<DialectDoubt>(),
    reason: text('reason').notNull(),
    margin: real('margin'),
    /** Best first. */
    scores: text('scores', { mode: 'json' }).$type<readonly CaptureScore[]>().notNull(),
    observationId: text('observation_id').references(() => dialectObservations.id),
  },
  (table) => [index('bus_captures_by_vehicle').on(table.vehicleId, table.logId)],
);
