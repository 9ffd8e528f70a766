import { createHash } from 'node:crypto';
import { and, desc, eq, max } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { calibrations, contents, revisions } from '../schema/calibrations.js';
import { layouts } from '../schema/platforms.js';
import { StoreError } from '../store-error.js';

/** The line that every calibration begins with. */
const FIRST_LINE = 'main';

export interface NewRevision {
  readonly actor: Actor;
  readonly calibrationId: string;
  readonly line?: string;
  readonly parentId: string | null;
  readonly mergeParentId?: string | null;
  readonly revertsId?: string | null;
  readonly layoutVersion: number;
  readonly canonicalJson: string;
  readonly message: string;
  readonly editorIds?: readonly string[];
  /** The draft it is made of, for the audit trail. */
  readonly draftId?: string;
}

/**
 * Adds the row of a revision with its content and its audit entry; call it inside a transaction. A merge may equal its
 * parent: that the other line was looked at and left is what it records.
 */
export function insertRevision(context: WriteContext, input: NewRevision): string {
  const { db, clock, ids } = context;
  const { actor, calibrationId, parentId, layoutVersion, canonicalJson, message } = input;
  const calibration = getCalibration(context, calibrationId);
  requireLayout(context, calibration.platformId, layoutVersion);
  const hash = sha256(canonicalJson);
  const parent = parentId === null ? null : getRevisionOf(context, calibrationId, parentId);
  if (parent?.contentHash === hash && !input.mergeParentId) {
    throw new StoreError('content_unchanged', `The content equals that of revision ${parent.number}.`);
  }
  db.insert(contents).values({ hash, canonicalJson }).onConflictDoNothing().run();
  const id = ids();
  const number = nextNumber(context, calibrationId);
  const line = input.line ?? parent?.line ?? FIRST_LINE;
  db.insert(revisions)
    .values({
      id,
      calibrationId,
      number,
      line,
      parentId,
      mergeParentId: input.mergeParentId ?? null,
      revertsId: input.revertsId ?? null,
      platformId: calibration.platformId,
      layoutVersion,
      contentHash: hash,
      message,
      authorId: actor.id,
      authorName: actor.name,
      editorIds: withEditor(input.editorIds ?? [], actor),
      createdAtMs: clock(),
    })
    .run();
  appendAudit(context, {
    actor,
    action: 'revision.create',
    target: `revision:${id}`,
    detail:
      `${calibration.title} ${number} on ${line}: ${message} (content ${hash})` +
      (input.draftId === undefined ? '' : `, of draft ${input.draftId}`),
  });
  return id;
}

/**
 * The line that a draft from `parentId` continues: the one named, else that of its parent. A line is continued from its
 * newest revision only; a name that no revision has yet begins a branch. Throws `not_newest`.
 */
export function lineFor(
  context: WriteContext,
  input: { readonly calibrationId: string; readonly parentId: string | null; readonly line?: string },
): string {
  const { calibrationId, parentId } = input;
  const parent = parentId === null ? null : getRevisionOf(context, calibrationId, parentId);
  const line = input.line ?? parent?.line ?? FIRST_LINE;
  const newest = context.db
    .select({ id: revisions.id, number: revisions.number })
    .from(revisions)
    .where(and(eq(revisions.calibrationId, calibrationId), eq(revisions.line, line)))
    .orderBy(desc(revisions.number))
    .limit(1)
    .get();
  if (!newest || newest.id === parentId) return line;
  const from = parent ? `revision ${parent.number}` : 'no revision';
  throw new StoreError(
    'not_newest',
    `The newest revision of the line '${line}' is ${newest.number}; this begins from ${from}. ` +
      `Begin from ${newest.number}, or name a new line to branch off.`,
  );
}

export function getCalibration({ db }: WriteContext, calibrationId: string) {
  const calibration = db.select().from(calibrations).where(eq(calibrations.id, calibrationId)).get();
  if (!calibration) throw new StoreError('not_found', `There is no calibration '${calibrationId}'.`);
  return calibration;
}

/** A revision of this calibration; throws `not_found` or `parent_mismatch`. */
export function getRevisionOf({ db }: WriteContext, calibrationId: string, revisionId: string) {
  const revision = db.select().from(revisions).where(eq(revisions.id, revisionId)).get();
  if (!revision) throw new StoreError('not_found', `There is no revision '${revisionId}'.`);
  if (revision.calibrationId !== calibrationId) {
    throw new StoreError(
      'parent_mismatch',
      `Revision '${revisionId}' belongs to calibration '${revision.calibrationId}'.`,
    );
  }
  return revision;
}

export function requireLayout({ db }: WriteContext, platformId: string, version: number): void {
  const layout = db
    .select({ version: layouts.version })
    .from(layouts)
    .where(and(eq(layouts.platformId, platformId), eq(layouts.version, version)))
    .get();
  if (!layout) throw new StoreError('not_found', `Platform '${platformId}' has no layout ${version}.`);
}

/** The persons with the one that acts, each once. */
export function withEditor(editorIds: readonly string[], { id }: Actor): readonly string[] {
  return id === null || editorIds.includes(id) ? editorIds : [...editorIds, id];
}

export function sha256(text: string): string {
  return createHash('sha256').update(text, 'utf8').digest('hex');
}

function nextNumber({ db }: WriteContext, calibrationId: string): number {
  const newest = db
    .select({ number: max(revisions.number) })
    .from(revisions)
    .where(eq(revisions.calibrationId, calibrationId))
    .get();
  return (newest?.number ?? 0) + 1;
}
