import type { Readable } from 'node:stream';
import type {
  LogDetail,
  LogFilter,
  LogOutline,
  LogSummary,
  Note,
  Page,
  PageRequest,
  Store,
  StoredLockUp,
  StoredShift,
} from '@syncline/store';
import { analysisJob } from '../jobs/job-kinds.js';
import { notFound, problem } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';

export type LogService = ReturnType<typeof createLogService>;

/** Whether a person wrote a note. One from before authors were kept is nobody's. */
export function isAuthor(note: Note, { id }: Actor): boolean {
  return note.byId === id;
}

/** Drive logs and what was found in them. */
export function createLogService(store: Store, nudgeJobs: () => void) {
  const { read } = store;

  function get(actor: Actor, logId: string): LogDetail {
    const log = read.logs.find(scopeOf(actor), logId);
    if (!log) throw notFound('log');
    return log;
  }

  /** What of a log is enough to be let at its samples, notes and shifts. */
  function outline(actor: Actor, logId: string): LogOutline {
    const log = read.logs.outline(scopeOf(actor), logId);
    if (!log) throw notFound('log');
    return log;
  }

  /** Throws `log.originalRemoved` where the file is not kept any more. */
  function getWithOriginal(actor: Actor, logId: string): LogDetail {
    const log = get(actor, logId);
    if (log.originalRemovedAtMs === null) return log;
    const day = new Date(log.originalRemovedAtMs).toISOString().slice(0, 10);
    throw problem('log.originalRemoved', { detail: `The original file of ${log.fileName} was removed on ${day}.` });
  }

  function assertOwnNote(actor: Actor, logId: string, noteId: string): void {
    outline(actor, logId);
    const note = read.logs.notes(logId).find(({ id }) => id === noteId);
    if (!note) throw notFound('note');
    if (!isAuthor(note, actor)) throw problem('note.notYours', { detail: `${note.byName} wrote it.` });
  }

  return {
    get,
    outline,
    getWithOriginal,

    list: (actor: Actor, filter: LogFilter, page: PageRequest): Page<LogSummary> =>
      read.logs.list(scopeOf(actor), filter, page),

    /** The file as it came. */
    openOriginal: (actor: Actor, logId: string): Readable => store.blobs.open(get(actor, logId).sha256),

    listShifts(
      actor: Actor,
      logId: string,
    ): { shifts: readonly StoredShift[]; lockUps: readonly StoredLockUp[]; marks: readonly number[] } {
      const { marks } = outline(actor, logId);
      return { shifts: read.shifts.ofLog(logId), lockUps: read.logs.lockUps(logId), marks };
    },

    listNotes(actor: Actor, logId: string): readonly Note[] {
      outline(actor, logId);
      return read.logs.notes(logId);
    },

    addNote(actor: Actor, logId: string, note: { readonly atS: number; readonly text: string }): Note {
      outline(actor, logId);
      return store.logs.addNote({ actor, logId, ...note });
    },

    editNote(
      actor: Actor,
      logId: string,
      noteId: string,
      change: { readonly atS?: number; readonly text?: string },
    ): Note {
      assertOwnNote(actor, logId, noteId);
      return store.logs.editNote({ actor, logId, noteId, ...change });
    },

    /** The audit trail keeps what it said. */
    removeNote(actor: Actor, logId: string, noteId: string): void {
      assertOwnNote(actor, logId, noteId);
      store.logs.removeNote({ actor, logId, noteId });
    },

    reanalyse(actor: Actor, logId: string): LogDetail {
      const log = getWithOriginal(actor, logId);
      store.logs.requeue({ actor, logId, job: analysisJob(logId, log.ownerId) });
      nudgeJobs();
      return get(actor, logId);
    },
  };
}
