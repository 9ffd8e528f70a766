import type { Readable } from 'node:stream';
import type {
  LogDetail,
  LogFilter,
  LogSummary,
  Note,
  Page,
  PageRequest,
  Store,
  StoredLockUp,
  StoredShift,
} from '@syncline/store';
import { analysisJob } from '../jobs/job-kinds.js';
import { notFound } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';

export type LogService = ReturnType<typeof createLogService>;

/** Drive logs and what was found in them. */
export function createLogService(store: Store, nudgeJobs: () => void) {
  const { read } = store;

  function get(actor: Actor, logId: string): LogDetail {
    const log = read.logs.find(scopeOf(actor), logId);
    if (!log) throw notFound('log');
    return log;
  }

  return {
    get,

    list: (actor: Actor, filter: LogFilter, page: PageRequest): Page<LogSummary> =>
      read.logs.list(scopeOf(actor), filter, page),

    /** The file as it came. */
    openOriginal: (actor: Actor, logId: string): Readable => store.blobs.open(get(actor, logId).sha256),

    listShifts(actor: Actor, logId: string): { shifts: readonly StoredShift[]; lockUps: readonly StoredLockUp[] } {
      get(actor, logId);
      return { shifts: read.shifts.ofLog(logId), lockUps: read.logs.lockUps(logId) };
    },

    listNotes(actor: Actor, logId: string): readonly Note[] {
      get(actor, logId);
      return read.logs.notes(logId);
    },

    addNote(actor: Actor, logId: string, note: { readonly atS: number; readonly text: string }): Note {
      get(actor, logId);
      return store.logs.addNote({ actor, logId, ...note });
    },

    reanalyse(actor: Actor, logId: string): LogDetail {
      const log = get(actor, logId);
      store.logs.requeue({ actor, logId, job: analysisJob(logId, log.ownerId) });
      nudgeJobs();
      return get(actor, logId);
    },
  };
}
