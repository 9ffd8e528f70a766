import { and, eq, getTableColumns } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { endJob } from '../jobs/end-job.js';
import { enqueueJob } from '../jobs/enqueue-job.js';
import { logArtefacts, logs, notes } from '../schema/logs.js';
import { StoreError } from '../store-error.js';
import { addLog } from './add-log.js';
import type { LogWrites, Note } from './logs.js';
import { removeOldOriginals } from './remove-originals.js';
import { replaceAnalysis } from './replace-analysis.js';
import { setLogState } from './set-log-state.js';

export function logWrites(context: WriteContext, options: { hasSignalFile: (name: string) => boolean }): LogWrites {
  const { db, clock, ids, transaction } = context;

  function requireLog(logId: string): void {
    const row = db.select({ id: logs.id }).from(logs).where(eq(logs.id, logId)).get();
    if (!row) throw new StoreError('not_found', `There is no log '${logId}'.`);
  }

  function requireNote(logId: string, noteId: string): Note {
    const { logId: _, ...columns } = getTableColumns(notes);
    const row = db
      .select(columns)
      .from(notes)
      .where(and(eq(notes.id, noteId), eq(notes.logId, logId)))
      .get();
    if (!row) throw new StoreError('not_found', `Log '${logId}' has no note '${noteId}'.`);
    return row;
  }

  return {
    add: (input) => transaction(() => addLog(context, input)),

    removeOriginals: (input) => transaction(() => removeOldOriginals(context, input)),

    requeue: ({ actor, logId, job }) =>
      transaction(() => {
        requireLog(logId);
        enqueueJob(context, job);
        appendAudit(context, { actor, action: 'log.requeue', target: `log:${logId}`, detail: 'queued again' });
      }),

    replaceAnalysis(result) {
      const file = result.signalFile?.name;
      if (file !== undefined && !options.hasSignalFile(file)) {
        throw new StoreError('not_found', `There is no signal file '${file}': close it before its result is kept.`);
      }
      transaction(() => replaceAnalysis(context, result));
    },

    awaitMap: ({ lease, logId, inspection, problem }) =>
      transaction(() => {
        requireLog(logId);
        endJob(context, lease, { state: 'waiting', problem });
        db.insert(logArtefacts)
          .values({ logId, inspection, signalIds: [] })
          .onConflictDoUpdate({ target: logArtefacts.logId, set: { inspection } })
          .run();
        setLogState(context, logId, { state: 'awaitingMap', progress: 0, problem });
      }),

    addNote: ({ actor, logId, atS, text }) =>
      transaction(() => {
        requireLog(logId);
        const by = { byId: actor.id, byName: actor.name };
        const note = { id: ids(), atS, text, ...by, createdAtMs: clock(), editedAtMs: null };
        db.insert(notes)
          .values({ ...note, logId })
          .run();
        appendAudit(context, { actor, action: 'log.addNote', target: `log:${logId}`, detail: `at ${atS} s: ${text}` });
        return note;
      }),

    editNote: ({ actor, logId, noteId, atS, text }) =>
      transaction(() => {
        const before = requireNote(logId, noteId);
        const change = { atS: atS ?? before.atS, text: text ?? before.text, editedAtMs: clock() };
        db.update(notes).set(change).where(eq(notes.id, noteId)).run();
        appendAudit(context, {
          actor,
          action: 'log.editNote',
          target: `log:${logId}`,
          detail: `at ${before.atS} s: ${before.text} → at ${change.atS} s: ${change.text}`,
          before: { atS: before.atS, text: before.text },
          after: { atS: change.atS, text: change.text },
        });
        return { ...before, ...change };
      }),

    removeNote: ({ actor, logId, noteId }) =>
      transaction(() => {
        const { atS, text } = requireNote(logId, noteId);
        db.delete(notes).where(eq(notes.id, noteId)).run();
        appendAudit(context, {
          actor,
          action: 'log.removeNote',
          target: `log:${logId}`,
          detail: `at ${atS} s: ${text}`,
          before: { atS, text },
        });
      }),
  };
}
