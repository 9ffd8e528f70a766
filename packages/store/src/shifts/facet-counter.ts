import type { Grade } from '@syncline/shifts';
import { GRADE_BITS } from './bit-set.js';
import type { ShiftFilter } from './shifts.js';

export const GRADES = Object.keys(GRADE_BITS) as readonly Grade[];

/** Shifts that are alike in all that facets tell apart but their grades. */
export interface FacetPlace {
  readonly vehicleId: string;
  readonly revisionId: string | null;
  readonly kind: string;
  readonly program: string | null;
}

export type Dimension = keyof FacetPlace;
type Counts = Map<string, number>;

/** Counts by each dimension, with all filters but its own. */
export class FacetCounter {
  total = 0;
  readonly by: Readonly<Record<Dimension, Counts>> = {
    vehicleId: new Map(),
    revisionId: new Map(),
    kind: new Map(),
    program: new Map(),
  };
  readonly byGrade = new Map<Grade, number>();
  private readonly filter: ShiftFilter;

  constructor(filter: ShiftFilter) {
    this.filter = filter;
  }

  /** Adds shifts of which `graded` tells how many have a grade, and how many there are (`shifts`). */
  add(place: FacetPlace, graded: (what: Grade | 'shifts') => number): void {
    const missed = DIMENSIONS.filter((name) => this.filter[name] !== undefined && this.filter[name] !== place[name]);
    if (missed.length > 1) return;
    const shifts = graded(this.filter.grade ?? 'shifts');
    for (const name of missed.length === 0 ? DIMENSIONS : missed) this.addValue(name, place[name], shifts);
    if (missed.length === 0) this.addMatching(graded);
  }

  /** Adds shifts that match all filters but that of the dimension itself. */
  addValue(name: Dimension, value: string | null, shifts: number): void {
    if (value !== null) addTo(this.by[name], value, shifts);
  }

  /** Adds shifts that match all filters but that of the grade. */
  addMatching(graded: (what: Grade | 'shifts') => number): void {
    this.total += graded(this.filter.grade ?? 'shifts');
    for (const grade of GRADES) addTo(this.byGrade, grade, graded(grade));
  }
}

const DIMENSIONS: readonly Dimension[] = ['vehicleId', 'revisionId', 'kind', 'program'];

function addTo<Key>(counts: Map<Key, number>, key: Key, by: number): void {
  if (by > 0) counts.set(key, (counts.get(key) ?? 0) + by);
}
