import { asc, desc, eq } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import type { Db, WriteContext } from '../database/context.js';
import { audit } from '../schema/audit.js';
import { boundedState, changedFields, wellFormed } from './bounded-state.js';
import { CHAIN_START, entryHash } from './chain.js';

/** Fields as they were and as they become. With both, the entry keeps those that differ. */
export interface ChangedStates {
  readonly before?: Readonly<Record<string, unknown>>;
  readonly after?: Readonly<Record<string, unknown>>;
}

interface NewAuditEntry extends ChangedStates {
  readonly actor: Actor;
  readonly action: string;
  readonly target: string;
  readonly detail: string;
}

/** Adds the entry of a change, chained to the one before it. Call it inside the transaction of the change. */
export function appendAudit({ db, clock }: WriteContext, { actor, ...entry }: NewAuditEntry): void {
  const last = lastOf(db);
  const content = {
    id: last.id + 1,
    atMs: clock(),
    actorKind: actor.kind,
    actorId: actor.id,
    actorName: wellFormed(actor.name),
    action: entry.action,
    target: wellFormed(entry.target),
    detail: wellFormed(entry.detail),
    requestId: actor.requestId,
    ...statesOf(entry),
  };
  db.insert(audit)
    .values({ ...content, hash: entryHash(last.hash, content) })
    .run();
}

/** Gives entries from before there was a chain their hashes. Does nothing when all have one. */
export function chainOldEntries({ db, transaction }: WriteContext): void {
  transaction(() => {
    const old = db.select().from(audit).where(eq(audit.hash, '')).orderBy(asc(audit.id)).all();
    let previousHash = CHAIN_START;
    for (const entry of old) {
      previousHash = entryHash(previousHash, entry);
      db.update(audit).set({ hash: previousHash }).where(eq(audit.id, entry.id)).run();
    }
  });
}

function lastOf(db: Db): { readonly id: number; readonly hash: string } {
  const last = db.select({ id: audit.id, hash: audit.hash }).from(audit).orderBy(desc(audit.id)).limit(1).get();
  return last ?? { id: 0, hash: CHAIN_START };
}

function statesOf({ before, after }: ChangedStates) {
  const [was, is] = [before && boundedState(before), after && boundedState(after)];
  return was && is ? changedFields(was, is) : { before: was ?? null, after: is ?? null };
}
