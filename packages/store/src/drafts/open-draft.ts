import { eq } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import type { WriteContext } from '../database/context.js';
import { revisions } from '../schema/calibrations.js';
import { drafts } from '../schema/drafts.js';
import { people } from '../schema/people.js';
import { StoreError } from '../store-error.js';

/** How long a draft stays with whoever edits it after the last sign of life (ms). */
const LEASE_MS = 120_000;

export type DraftRow = typeof drafts.$inferSelect;

export function getDraft({ db }: WriteContext, draftId: string): DraftRow {
  const row = db.select().from(drafts).where(eq(drafts.id, draftId)).get();
  if (!row) throw new StoreError('not_found', `There is no draft '${draftId}'.`);
  return row;
}

/** The draft, if it is open and nobody else edits it. */
export function getWritable(context: WriteContext, draftId: string, actor: Actor): DraftRow {
  const draft = getOpen(context, draftId);
  const holder = holderOf(context, draft);
  if (holder && holder.id !== actor.id) {
    throw new StoreError(
      'draft_locked',
      `${holder.name} is editing '${draft.title}', at least until ${new Date(holder.untilMs).toISOString()}.`,
    );
  }
  return draft;
}

export function getOpen(context: WriteContext, draftId: string): DraftRow {
  const draft = getDraft(context, draftId);
  if (draft.state !== 'open') throw new StoreError('draft_closed', describeEnd(context, draft));
  return draft;
}

/** Who holds the lease now. */
export function holderOf({ db, clock }: WriteContext, { lockedById, lockedUntilMs }: DraftRow) {
  if (lockedById === null || lockedUntilMs === null || lockedUntilMs <= clock()) return undefined;
  const person = db.select({ name: people.name }).from(people).where(eq(people.id, lockedById)).get();
  return { id: lockedById, name: person?.name ?? lockedById, untilMs: lockedUntilMs };
}

/** The columns of a lease that begins anew; the system itself holds none. */
export function leaseFor({ clock }: WriteContext, { id }: Actor) {
  return { lockedById: id, lockedUntilMs: id === null ? null : clock() + LEASE_MS };
}

/** Throws `draft_outdated` when another save came between. */
export function assertVersion(draft: DraftRow, version: number): void {
  if (draft.version === version) return;
  throw new StoreError(
    'draft_outdated',
    `The change was made from version ${version}; ${draft.updatedByName} saved version ${draft.version} ` +
      `at ${new Date(draft.updatedAtMs).toISOString()}.`,
  );
}

function describeEnd({ db }: WriteContext, { title, state, revisionId, updatedByName }: DraftRow): string {
  if (state === 'discarded') return `'${title}' was discarded by ${updatedByName}.`;
  const made = db
    .select()
    .from(revisions)
    .where(eq(revisions.id, revisionId ?? ''))
    .get();
  return `'${title}' was made into revision ${made?.number} by ${made?.authorName}.`;
}
