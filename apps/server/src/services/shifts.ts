import { setImmediate as nextTick } from 'node:timers/promises';
import type {
  Page,
  PageRequest,
  ShiftDistribution,
  ShiftFacets,
  ShiftFilter,
  ShiftQuantity,
  ShiftSort,
  Store,
  StoredShift,
} from '@syncline/store';
import { notFound } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';
import type { FleetQueryPool } from './fleet-queries/queries.js';

/** Rows of a download that are read at once. */
const PAGE_ROWS = 500;

export type ShiftService = ReturnType<typeof createShiftService>;

/** Shifts of every car that the actor may see. */
export function createShiftService({ read }: Store, queries: FleetQueryPool) {
  return {
    list: (actor: Actor, query: ShiftFilter & { readonly sort: ShiftSort }, page: PageRequest): Page<StoredShift> =>
      read.shifts.list(scopeOf(actor), query, page),

    facets: (actor: Actor, filter: ShiftFilter): Promise<ShiftFacets> =>
      queries.ask('facets', { scope: scopeOf(actor), filter }),

    distribution: (
      actor: Actor,
      query: ShiftFilter & { readonly quantity: ShiftQuantity },
    ): Promise<ShiftDistribution> => queries.ask('distribution', { scope: scopeOf(actor), query }),

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
