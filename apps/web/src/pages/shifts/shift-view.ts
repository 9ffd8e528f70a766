import { type ShiftFilter, shiftFilter } from '@syncline/contract';
import { isMeasuredQuantity, type MeasuredQuantity } from '../../format/measured.js';
import type { ShiftsSearch } from './shifts-search.js';

/** The filters alone, without order and columns. */
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

/** The quantity whose distribution is drawn: the one chosen, else that which the list is ordered by, else the flare. */
export function drawnQuantity({ quantity, sort = 'flareRpm' }: ShiftsSearch): MeasuredQuantity {
  return quantity ?? (isMeasuredQuantity(sort) ? sort : 'flareRpm');
}

/** The range filters that a bin of a distribution can be turned into. */
const RANGE_FILTERS = {
  load: ['loadMin', 'loadMax'],
  inputSpeedRpm: ['inputSpeedMin', 'inputSpeedMax'],
  fluidTemperatureC: ['fluidTemperatureMin', 'fluidTemperatureMax'],
} as const satisfies Partial<Record<MeasuredQuantity, readonly [keyof ShiftsSearch, keyof ShiftsSearch]>>;

/** The search that narrows the page to values from `low` to below `high`; undefined where no filter can say it. */
export function withinBin(
  search: ShiftsSearch,
  quantity: MeasuredQuantity,
  { low, high }: { readonly low: number; readonly high: number },
): ShiftsSearch | undefined {
  if (!(quantity in RANGE_FILTERS)) return undefined;
  const [min, max] = RANGE_FILTERS[quantity as keyof typeof RANGE_FILTERS];
  return { ...search, [min]: low, [max]: high };
}
