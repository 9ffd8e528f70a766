import { index, integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import { invitations } from './people.js';
import { platforms } from './platforms.js';

/** What people outside the club say of themselves and their cars. Personal: removed on request and after a while. */
export const applications = sqliteTable(
  'applications',
  {
    id: text('id').primaryKey(),
    state: text('state', { enum: ['new', 'waiting', 'invited', 'declined'] }).notNull(),
    name: text('name').notNull(),
    email: text('email').notNull(),
    car: text('car').notNull(),
    engine: text('engine').notNull(),
    gearboxLabel: text('gearbox_label').notNull(),
    platformId: text('platform_id').references(() => platforms.id),
    dialect: text('dialect'),
    place: text('place').notNull(),
    climates: text('climates', { mode: 'json' })
      .$type<readonly ('frost' | 'mild' | 'heat' | 'mountains')[]>()
      .notNull(),
    yearlyKm: integer('yearly_km'),
    logger: text('logger').notNull(),
    /** Version of the words that were agreed to when it was received. */
    consentVersion: integer('consent_version').notNull(),
    receivedAtMs: integer('received_at_ms').notNull(),
    decidedByName: text('decided_by_name'),
    decidedAtMs: integer('decided_at_ms'),
    note: text('note').notNull().default(''),
    invitationId: text('invitation_id').references(() => invitations.id),
  },
  (table) => [index('applications_by_state').on(table.state, table.id), index('applications_by_email').on(table.email)],
);

/** Whether applications are taken, and the call that asks for them. One row at most; without one they are not. */
export const recruitment = sqliteTable('recruitment', {
  id: integer('id').primaryKey(),
  isOpen: integer('is_open', { mode: 'boolean' }).notNull(),
  callText: text('call_text').notNull(),
  changedByName: text('changed_by_name').notNull(),
  changedAtMs: integer('changed_at_ms').notNull(),
});
