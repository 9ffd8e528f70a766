import { type ShiftFilter, shiftFilter } from '@syncline/contract';
import type { ShiftsSearch } from './shifts-search.js';

/** The filters alone, without order, columns and page. */
export function filterOf(search: ShiftsSearch): ShiftFilter {
  return shiftFilter.parse(search);
}

/** Whether any filter holds. */
export function isFiltered(search: ShiftsSearch): boolean {
  return filterCount(search) > 0;
}

export function filterCount(search: ShiftsSearch): number {
  return Object.values(filterOf(search)).filter((value) => value !== undefined).length;
}
