import { eq } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit, type ChangedStates } from '../audit/append-audit.js';
import {
  getCalibration,
  getRevisionOf,
  insertRevision,
  lineFor,
  requireLayout,
  sha256,
  withEditor,
} from '../calibrations/insert-revision.js';
import type { WriteContext } from '../database/context.js';
import { draftSaves, drafts } from '../schema/drafts.js';
import { StoreError } from '../store-error.js';
import { findSavedJson, keepSave } from './draft-saves.js';
import type { DraftWrites } from './drafts.js';
import { assertVersion, type DraftRow, getDraft, getOpen, getWritable, holderOf, leaseFor } from './open-draft.js';

const NO_LEASE = { lockedById: null, lockedUntilMs: null };

export function draftWrites(context: WriteContext): DraftWrites {
  const { db, clock, transaction } = context;

  function change(draftId: string, columns: Partial<typeof drafts.$inferInsert>): void {
    db.update(drafts).set(columns).where(eq(drafts.id, draftId)).run();
  }

  function note(actor: Actor, draftId: string, action: string, detail: string, states: ChangedStates = {}): void {
    appendAudit(context, { actor, action: `draft.${action}`, target: `draft:${draftId}`, detail, ...states });
  }

  function write(actor: Actor, draft: DraftRow, canonicalJson: string, changedCells: number): number {
    const lease = leaseFor(context, actor);
    const contentHash = sha256(canonicalJson);
    if (contentHash === draft.contentHash) {
      change(draft.id, lease);
      return draft.version;
    }
    const version = draft.version + 1;
    const editorIds = withEditor(draft.editorIds, actor);
    const updated = { updatedAtMs: clock(), updatedByName: actor.name };
    change(draft.id, { ...lease, ...updated, canonicalJson, contentHash, version, editorIds });
    keepSave(context, { draftId: draft.id, version, canonicalJson, changedCells, byName: actor.name });
    return version;
  }

  return {
    create: (input) => transaction(() => insertDraft(context, input)),

    save: ({ actor, draftId, version, canonicalJson, changedCells }) =>
      transaction(() => {
        const draft = getWritable(context, draftId, actor);
        assertVersion(draft, version);
        return write(actor, draft, canonicalJson, changedCells);
      }),

    lock: ({ actor, draftId, isTakeOver }) =>
      transaction(() => {
        const draft = isTakeOver ? getOpen(context, draftId) : getWritable(context, draftId, actor);
        const holder = holderOf(context, draft);
        change(draftId, leaseFor(context, actor));
        if (isTakeOver) note(actor, draftId, 'takeOver', `${draft.title}, from ${holder?.name ?? 'nobody'}`);
      }),

    release: ({ actor, draftId }) =>
      transaction(() => {
        if (getOpen(context, draftId).lockedById === actor.id) change(draftId, NO_LEASE);
      }),

    rename: ({ actor, draftId, title, line }) =>
      transaction(() => {
        const draft = getWritable(context, draftId, actor);
        const named = {
          title: title ?? draft.title,
          line: line === undefined ? draft.line : lineFor(context, { ...draft, line }),
        };
        change(draftId, named);
        const detail = `${draft.title} on ${draft.line} → ${named.title} on ${named.line}`;
        note(actor, draftId, 'rename', detail, { before: { title: draft.title, line: draft.line }, after: named });
      }),

    restore: ({ actor, draftId, version, from, changedCells }) =>
      transaction(() => {
        const draft = getWritable(context, draftId, actor);
        assertVersion(draft, version);
        const saved = findSavedJson(db, draftId, from);
        if (saved === undefined) throw new StoreError('not_found', `Save ${from} of '${draft.title}' is not kept.`);
        note(actor, draftId, 'restore', `${draft.title}: save ${from}, after version ${draft.version}`);
        return write(actor, draft, saved, changedCells);
      }),

    discard: ({ actor, draftId }) =>
      transaction(() => {
        const draft = getWritable(context, draftId, actor);
        change(draftId, { ...NO_LEASE, state: 'discarded', updatedAtMs: clock(), updatedByName: actor.name });
        note(actor, draftId, 'discard', `${draft.title} (content ${draft.contentHash})`);
      }),

    reopen: ({ actor, draftId }) =>
      transaction(() => {
        const draft = getDraft(context, draftId);
        if (draft.state === 'made') getOpen(context, draftId);
        if (draft.state === 'open') return;
        change(draftId, { state: 'open', updatedAtMs: clock(), updatedByName: actor.name });
        note(actor, draftId, 'reopen', draft.title);
      }),

    make: ({ actor, draftId, contentHash, message }) =>
      transaction(() => {
        const draft = getWritable(context, draftId, actor);
        if (draft.contentHash !== contentHash) {
          throw new StoreError(
            'draft_outdated',
            `The content to be made has hash ${contentHash}; ${draft.updatedByName} saved ${draft.contentHash}.`,
          );
        }
        lineFor(context, draft);
        const revisionId = insertRevision(context, { ...draft, actor, message, draftId });
        db.delete(draftSaves).where(eq(draftSaves.draftId, draftId)).run();
        change(draftId, { ...NO_LEASE, state: 'made', revisionId });
        return revisionId;
      }),
  };
}

function insertDraft(context: WriteContext, input: Parameters<DraftWrites['create']>[0]): string {
  const { db, clock, ids } = context;
  const { actor, calibrationId, title, origin, originNote, parentId, layoutVersion, canonicalJson } = input;
  const { platformId, title: calibrationTitle } = getCalibration(context, calibrationId);
  requireLayout(context, platformId, layoutVersion);
  const line = lineFor(context, input);
  for (const revisionId of [input.mergeParentId, input.revertsId]) {
    if (revisionId) getRevisionOf(context, calibrationId, revisionId);
  }
  const id = ids();
  const now = clock();
  db.insert(drafts)
    .values({
      id,
      calibrationId,
      platformId,
      layoutVersion,
      title,
      line,
      origin,
      originNote,
      parentId,
      mergeParentId: input.mergeParentId ?? null,
      revertsId: input.revertsId ?? null,
      canonicalJson,
      contentHash: sha256(canonicalJson),
      baselineJson: input.baselineJson ?? null,
      version: 1,
      state: 'open',
      revisionId: null,
      ...NO_LEASE,
      createdAtMs: now,
      createdByName: actor.name,
      updatedAtMs: now,
      updatedByName: actor.name,
      editorIds: withEditor([], actor),
    })
    .run();
  const { changedCells } = input;
  keepSave(context, { draftId: id, version: 1, canonicalJson, changedCells, byName: actor.name });
  appendAudit(context, {
    actor,
    action: 'draft.create',
    target: `draft:${id}`,
    detail: [`${title}, ${origin} in ${calibrationTitle} on ${line}`, originNote].filter(Boolean).join('; '),
  });
  return id;
}
