import {
  BANDS_LIMIT,
  bandsPart,
  cellOfCoveragePart,
  columnOf,
  KIND_LIMIT,
  kindPart,
  MAX_PROGRAM,
  type PlacedSlice,
  programPart,
  SLICE_COUNTS,
  type SliceCount,
} from '@syncline/fleet';
import type { Grade } from '@syncline/shifts';
import type { FleetSlices } from '../fleet/fleet.js';
import type { FacetCounter } from './facet-counter.js';
import type { AskedBands } from './shift-where.js';
import type { ShiftFilter } from './shifts.js';

const COLUMN_OF_GRADE: Readonly<Record<Grade | 'shifts', SliceCount>> = {
  shifts: 'shifts',
  clean: 'clean',
  flare: 'flare',
  'tie-up': 'tieUp',
  harsh: 'harsh',
  slow: 'slow',
  incomplete: 'incomplete',
};

const WIDTH = SLICE_COUNTS.length;

const COLUMN_AT = Object.fromEntries(
  Object.entries(COLUMN_OF_GRADE).map(([grade, column]) => [grade, columnOf(column)]),
) as Readonly<Record<Grade | 'shifts', number>>;

/** Summaries of one platform, and what of their cells is counted. */
export interface AskedSlices extends Pick<FleetSlices, 'slices' | 'names'> {
  readonly filter: ShiftFilter;
  /** Undefined where bands are not told apart. */
  readonly bands: AskedBands | undefined;
}

/** How many shifts match. O(cells). */
export function totalOfSlices(asked: AskedSlices): number {
  const countAsked = askedCounter(asked);
  return asked.slices.reduce((sum, { slice }) => sum + countAsked(slice), 0);
}

/** Adds what each value of each dimension would leave. O(cells). */
export function countSlices(counter: FacetCounter, asked: AskedSlices): void {
  const { slices, names, filter } = asked;
  const countAsked = askedCounter(asked);
  const parts = new PartSums(cellFilterOf(asked));
  for (const { vehicleId, revisionId, slice } of slices) {
    const isVehicle = filter.vehicleId === undefined || filter.vehicleId === vehicleId;
    const isRevision = filter.revisionId === undefined || filter.revisionId === revisionId;
    if (!isVehicle && !isRevision) continue;
    const shifts = countAsked(slice);
    if (isRevision) counter.addValue('vehicleId', vehicleId, shifts);
    if (isVehicle) counter.addValue('revisionId', revisionId || null, shifts);
    if (isVehicle && isRevision) parts.add(slice);
  }
  const column = COLUMN_AT[filter.grade ?? 'shifts'];
  for (const { key, counts } of parts.all) {
    const [kind, program] = [names.kinds[kindPart(key)], names.programs[programPart(key)]];
    const isKind = filter.kind === undefined || filter.kind === kind;
    const isProgram = filter.program === undefined || filter.program === program;
    if (isProgram) counter.addValue('kind', kind, counts[column]);
    if (isKind) counter.addValue('program', program, counts[column]);
    if (isKind && isProgram) counter.addMatching((what) => counts[COLUMN_AT[what]]);
  }
}

type Slice = PlacedSlice['slice'];
type IsAsked = (key: number) => boolean;

/** Counts the shifts of a slice that have the kind, program, grade and bands of the filter. */
function askedCounter(asked: AskedSlices): (slice: Slice) => number {
  const { names, filter } = asked;
  const isInBands = cellFilterOf(asked);
  const kind = filter.kind === undefined ? undefined : names.kinds.indexOf(filter.kind);
  const program = filter.program === undefined ? undefined : names.programs.indexOf(filter.program);
  const column = COLUMN_AT[filter.grade ?? 'shifts'];
  return ({ keys, counts }) => {
    let shifts = 0;
    for (let i = 0; i < keys.length; i++) {
      if (kind !== undefined && kindPart(keys[i]) !== kind) continue;
      if (program !== undefined && programPart(keys[i]) !== program) continue;
      if (isInBands(keys[i])) shifts += counts[column * keys.length + i];
    }
    return shifts;
  };
}

/** Looks bands up in a table: they are asked of hundreds of thousands of cells. */
function cellFilterOf({ bands }: AskedSlices): IsAsked {
  if (bands === undefined) return () => true;
  const { load, temperature } = bands;
  const table = Uint8Array.from({ length: BANDS_LIMIT }, (_, part) => {
    const { loadBand, temperatureBand } = cellOfCoveragePart(part);
    const isLoad = loadBand >= load.first && loadBand <= load.last;
    return isLoad && temperatureBand >= temperature.first && temperatureBand <= temperature.last ? 1 : 0;
  });
  return (key) => table[bandsPart(key)] === 1;
}

/** Sums of all counts by shift kind and program. */
class PartSums {
  readonly all: { readonly key: number; readonly counts: Float64Array }[] = [];
  /** Place of a kind and program in the list, from 1. A table instead of a Map: it is asked for every cell. */
  private readonly placeOf = new Int32Array(KIND_LIMIT * PROGRAM_LIMIT);
  private readonly isAsked: IsAsked;

  constructor(isAsked: IsAsked) {
    this.isAsked = isAsked;
  }

  add({ keys, counts }: Slice): void {
    for (let i = 0; i < keys.length; i++) {
      if (!this.isAsked(keys[i])) continue;
      const sums = this.sumsAt(keys[i]);
      for (let c = 0; c < WIDTH; c++) sums[c] += counts[c * keys.length + i];
    }
  }

  private sumsAt(key: number): Float64Array {
    const part = kindPart(key) * PROGRAM_LIMIT + programPart(key);
    if (this.placeOf[part] === 0) this.placeOf[part] = this.all.push({ key, counts: new Float64Array(WIDTH) });
    return this.all[this.placeOf[part] - 1].counts;
  }
}

const PROGRAM_LIMIT = MAX_PROGRAM + 1;
