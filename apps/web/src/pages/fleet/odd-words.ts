import type { Rate, ShiftFacetsResponse } from '@syncline/contract';
import { formatNumber } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';

type Estimate = Extract<Rate, { kind: 'estimate' }>;

/** How often, after a verb: “3.1 times as often as the fleet: 24 % against 7.8 %”. */
export function oddWords(car: Estimate, fleet: Estimate): string {
  const both = `${formatShare(car.rate)} against ${formatShare(fleet.rate)}`;
  if (fleet.rate === 0) return `where the fleet never does: ${both}`;
  if (car.rate === 0) return `never, as the fleet does: ${both}`;
  const times = car.rate / fleet.rate;
  if (times >= 1) return `${formatNumber(times, times < 9.95 ? 1 : 0)} times as often as the fleet: ${both}`;
  return `${formatNumber(1 / times, 1)} times more seldom than the fleet: ${both}`;
}

/** A shift in which an odd car departs from the fleet. */
export interface OddKind {
  readonly kind: string;
  readonly events: number;
  readonly shifts: number;
  /** Share that is usual in the fleet. */
  readonly usual: number;
}

interface KindCounts {
  /** Shifts of the car with the grade, and all of its shifts. */
  readonly graded: ShiftFacetsResponse['kinds'];
  readonly all: ShiftFacetsResponse['kinds'];
  /** Rate of the fleet for each shift. */
  readonly fleet: readonly { readonly kind: string; readonly total: Rate }[];
}

/** A kind that holds less than this share of all that departs is not named. */
const LEAST_SHARE = 0.25;
const MOST_KINDS = 2;

/**
 * The shifts that hold most of what sets the car apart: events beyond, or short of, those that its number of shifts
 * would bring at the rate of the fleet. The largest first.
 */
export function oddKinds({ graded, all, fleet }: KindCounts, isAbove: boolean): OddKind[] {
  const eventsOf = new Map(graded.map(({ value, shifts }) => [value, shifts]));
  const usualOf = new Map(
    fleet.flatMap(({ kind, total }) => (total.kind === 'estimate' ? [[kind, total.rate] as const] : [])),
  );
  const departing = all
    .flatMap(({ value: kind, shifts }) => {
      const usual = usualOf.get(kind);
      if (usual === undefined) return [];
      const events = eventsOf.get(kind) ?? 0;
      const excess = (events - shifts * usual) * (isAbove ? 1 : -1);
      return excess > 0 ? [{ kind, events, shifts, usual, excess }] : [];
    })
    .sort((a, b) => b.excess - a.excess);
  const whole = departing.reduce((sum, { excess }) => sum + excess, 0);
  return departing
    .filter(({ excess }) => excess >= LEAST_SHARE * whole)
    .slice(0, MOST_KINDS)
    .map(({ kind, events, shifts, usual }) => ({ kind, events, shifts, usual }));
}
