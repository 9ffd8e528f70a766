import { variantParts } from '@syncline/calibration';
import type { GridPlace } from '../../charts/grid-place.js';
import type { ShiftsSearch } from '../shifts/shifts-search.js';
import type { TableSpec } from './layout-words.js';

export interface ShiftsNear {
  readonly search: ShiftsSearch;
  /** Whether the filters of the Shifts page can say all that picks the shifts of the cell. */
  readonly isExact: boolean;
}

const FILTERS = {
  load: ['loadMin', 'loadMax'],
  inputSpeed: ['inputSpeedMin', 'inputSpeedMax'],
  fluidTemperature: ['fluidTemperatureMin', 'fluidTemperatureMax'],
} as const;

/**
 * Where along an axis a node is the nearest one: from half-way to its lower neighbour, included, to half-way to its
 * upper one. Null where there is no neighbour: beyond its ends a table is flat.
 */
export function nearestSpan(
  breakpoints: readonly number[],
  node: number,
): { readonly low: number | null; readonly high: number | null } {
  const here = breakpoints[node] as number;
  const [below, above] = [breakpoints[node - 1], breakpoints[node + 1]];
  return {
    low: below === undefined ? null : (below + here) / 2,
    high: above === undefined ? null : (here + above) / 2,
  };
}

/** Search of the Shifts page that lists the shifts counted to one cell of a table. */
export function shiftsNear(
  spec: Pick<TableSpec, 'axes' | 'repeat' | 'byProgram'>,
  breakpoints: readonly (readonly number[])[],
  variant: string,
  { row, column }: GridPlace,
): ShiftsNear {
  const search: Record<string, number | string> = {};
  let isExact = true;
  const nodes = breakpoints.length === 2 ? [row, column] : [column];
  spec.axes.forEach(({ quantity }, i) => {
    const filter = FILTERS[quantity as keyof typeof FILTERS];
    if (filter === undefined) {
      isExact = false;
      return;
    }
    const { low, high } = nearestSpan(breakpoints[i] ?? [], nodes[i] ?? 0);
    if (low !== null) search[filter[0]] = low;
    if (high !== null) search[filter[1]] = high;
  });
  const { shift, program, gear, clutch } = variantParts(spec, variant);
  if (shift !== undefined) search['kind'] = shift;
  if (program !== undefined) search['program'] = program;
  // Which gear or clutch a shift used is no filter of the list.
  if (gear !== undefined || clutch !== undefined) isExact = false;
  return { search, isExact };
}
