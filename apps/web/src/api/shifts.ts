import { type ShiftFilter, type ShiftRow, type shiftListQuery, shiftPage, shiftRow } from '@syncline/contract';
import { keepPreviousData, queryOptions } from '@tanstack/react-query';
import type { z } from 'zod';
import { apiUrl, get } from './client.js';

export type ShiftListQuery = z.input<typeof shiftListQuery>;

const PAGE_LIMIT = 200;
/** Pages that a distribution is drawn from: enough to see its form, few enough for a thin line. */
const DRAWN_PAGES = 3;

function getPage(query: ShiftListQuery, signal: AbortSignal) {
  return get('/shifts', shiftPage, { query: { ...query } as Record<string, string>, signal });
}

export const shiftQueries = {
  list: (query: ShiftListQuery) =>
    queryOptions({
      queryKey: ['shifts', 'list', query],
      queryFn: ({ signal }) => getPage(query, signal),
      placeholderData: keepPreviousData,
    }),
  /** The first shifts that match in an order, up to 600. */
  first: (filter: ShiftFilter, sort: NonNullable<ShiftListQuery['sort']>) =>
    queryOptions({
      queryKey: ['shifts', 'first', filter, sort],
      staleTime: 60_000,
      placeholderData: keepPreviousData,
      queryFn: async ({ signal }) => {
        const shifts: ShiftRow[] = [];
        let cursor: string | undefined;
        let totalCount = 0;
        for (let page = 0; page < DRAWN_PAGES; page++) {
          const answer = await getPage({ ...filter, sort, limit: PAGE_LIMIT, cursor }, signal);
          shifts.push(...answer.items);
          totalCount = answer.totalCount;
          if (answer.nextCursor === null) break;
          cursor = answer.nextCursor;
        }
        return { shifts, totalCount };
      },
    }),
  one: (shiftId: string) =>
    queryOptions({
      queryKey: ['shifts', 'one', shiftId],
      queryFn: ({ signal }) => get(`/shifts/${encodeURIComponent(shiftId)}`, shiftRow, { signal }),
    }),
};

/** Address of the CSV with every shift that matches. */
export function shiftsCsvUrl(filter: ShiftFilter): string {
  return apiUrl('/shifts.csv', { ...filter });
}
