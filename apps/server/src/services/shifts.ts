import { setImmediate as nextTick } from 'node:timers/promises';
import type { Page, PageRequest, ShiftFilter, ShiftSort, Store, StoredShift } from '@syncline/store';
import { notFound } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';

/** Rows of a download that are read at once. */
const PAGE_ROWS = 500;

export type ShiftService = ReturnType<typeof createShiftService>;

/** Shifts of every car that the actor may see. */
export function createShiftService({ read }: Store) {
  return {
    list: (actor: Actor, query: ShiftFilter & { readonly sort: ShiftSort }, page: PageRequest): Page<StoredShift> =>
      read.shifts.list(scopeOf(actor), query, page),

    get(actor: Actor, shiftId: string): StoredShift {
      const shift = read.shifts.find(scopeOf(actor), shiftId);
      if (!shift) throw notFound('shift');
      return shift;
    },

    /** All of them, page by page with room for other requests between. */
    async *readAll(actor: Actor, filter: ShiftFilter): AsyncGenerator<readonly StoredShift[]> {
      let cursor: string | undefined;
      do {
        const page = read.shifts.list(scopeOf(actor), { ...filter, sort: 'newest' }, { cursor, limit: PAGE_ROWS });
        yield page.items;
        cursor = page.nextCursor ?? undefined;
        await nextTick();
      } while (cursor !== undefined);
    },
  };
}
