import type { Actor } from '../actor.js';
import type { WriteContext } from '../database/context.js';
import { audit } from '../schema/audit.js';

/** Adds the entry of a change. Call it inside the transaction of the change. */
export function appendAudit(
  { db, clock }: WriteContext,
  entry: { readonly actor: Actor; readonly action: string; readonly target: string; readonly detail: string },
): void {
  db.insert(audit)
    .values({
      atMs: clock(),
      actorKind: entry.actor.kind,
      actorId: entry.actor.id,
      actorName: entry.actor.name,
      action: entry.action,
      target: entry.target,
      detail: entry.detail,
      requestId: entry.actor.requestId,
    })
    .run();
}
