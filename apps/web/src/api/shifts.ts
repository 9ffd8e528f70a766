import {
  type ShiftFilter,
  shiftDistributionResponse,
  shiftFacetsResponse,
  type shiftListQuery,
  shiftPage,
  shiftRow,
} from '@syncline/contract';
import { keepPreviousData, queryOptions } from '@tanstack/react-query';
import type { z } from 'zod';
import type { MeasuredQuantity } from '../format/measured.js';
import { apiUrl, type QueryValues } from './client.js';
import { resource } from './resource.js';
import { SHIFT_PAGE_SIZE } from './shift-page-size.js';

type ShiftSort = NonNullable<z.input<typeof shiftListQuery>['sort']>;
/** Which shifts, and in which order. */
export type ShiftListing = ShiftFilter & { readonly sort: ShiftSort };

/** A page that is out of sight is kept this long, so that a list of any length takes the memory of a few pages. */
const PAGE_KEPT_MS = 10_000;

const filterQuery = (filter: ShiftFilter): QueryValues => ({ ...filter });

export const shiftQueries = {
  /** One page of the list; the first has no cursor. */
  page: (listing: ShiftListing, cursor: string | undefined) =>
    queryOptions({
      queryKey: ['shifts', 'page', listing, cursor ?? null],
      staleTime: 60_000,
      gcTime: PAGE_KEPT_MS,
      ...resource('/shifts', shiftPage, { ...filterQuery(listing), limit: SHIFT_PAGE_SIZE, cursor }),
    }),
  /** How many shifts each value of each dimension would leave. */
  facets: (filter: ShiftFilter) =>
    queryOptions({
      queryKey: ['shifts', 'facets', filter],
      ...resource('/shifts/facets', shiftFacetsResponse, filterQuery(filter)),
      placeholderData: keepPreviousData,
    }),
  /** How a quantity is spread over every shift that matches. */
  distribution: (filter: ShiftFilter, quantity: MeasuredQuantity) =>
    queryOptions({
      queryKey: ['shifts', 'distribution', filter, quantity],
      ...resource('/shifts/distribution', shiftDistributionResponse, { ...filterQuery(filter), quantity }),
      placeholderData: keepPreviousData,
    }),
  one: (shiftId: string) =>
    queryOptions({
      queryKey: ['shifts', 'one', shiftId],
      ...resource(`/shifts/${encodeURIComponent(shiftId)}`, shiftRow),
    }),
};

/** Address of the CSV with every shift that matches. */
export function shiftsCsvUrl(filter: ShiftFilter): string {
  return apiUrl('/shifts.csv', { ...filter });
}
