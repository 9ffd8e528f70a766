import { DEFAULT_FLEET_BANDS } from '@syncline/fleet';
import type { OutcomeCounts } from '@syncline/store';

/** An operating point with too little evidence. */
export interface CoverageCell {
  readonly kind: string;
  readonly loadBand: number;
  readonly fluidTemperatureBand: number;
  readonly shifts: number;
  readonly vehicles: number;
}

/** What a car has driven at an operating point. */
export type DrivenPoint = Pick<CoverageCell, 'kind' | 'loadBand' | 'fluidTemperatureBand'> &
  Pick<OutcomeCounts, 'shifts'>;

export interface Wish extends CoverageCell {
  readonly ownShifts: number;
  /** How often this car should do it. */
  readonly ask: number;
}

/** What can be remembered and driven on one outing. */
const MAX_WISHES = 6;
/** Wishes for one kind of shift, so that a list is not all of the same. */
const MAX_OF_KIND = 2;
const HOTTEST_BAND = DEFAULT_FLEET_BANDS.temperature.edges.length;
/** More at once asks for a drive that is driven for its own sake. */
const MAX_ASK = 12;

/** What the car has driven: of what counts towards the gaps, and at all. */
export interface OwnDriving {
  readonly counted: readonly DrivenPoint[];
  readonly ever: readonly DrivenPoint[];
}

/**
 * Gaps that this car can fill: it drove the same kind of shift at that point or at one beside it (one band of load or
 * of fluid temperature away), so that the point is within its reach. The emptiest first, of those as empty the ones
 * that it has driven most around. Nobody is asked to make the fluid hot: its uppermost band is left out.
 */
export function chooseWishes(
  gaps: readonly CoverageCell[],
  own: OwnDriving,
  needed: { readonly shifts: number; readonly vehicles: number },
): Wish[] {
  const ofKind = new Map<string, number>();
  return gaps
    .filter(({ fluidTemperatureBand }) => fluidTemperatureBand < HOTTEST_BAND)
    .map((cell) => ({ cell, ownShifts: shiftsAt(own.counted, cell, 0), around: shiftsAt(own.ever, cell, 1) }))
    .filter(({ around }) => around > 0)
    .map(({ cell, ownShifts, around }) => ({ ...cell, ownShifts, around, ask: askFor(cell, ownShifts, needed) }))
    .filter(({ ask }) => ask > 0)
    .sort((a, b) => a.shifts - b.shifts || b.around - a.around)
    .filter(({ kind }) => {
      const before = ofKind.get(kind) ?? 0;
      ofKind.set(kind, before + 1);
      return before < MAX_OF_KIND;
    })
    .slice(0, MAX_WISHES)
    .map(({ around: _around, ...wish }) => wish);
}

/** This car's share of what is missing; 0 where only other cars can help. */
function askFor(
  { shifts, vehicles }: CoverageCell,
  ownShifts: number,
  needed: { readonly shifts: number; readonly vehicles: number },
): number {
  const others = vehicles - (ownShifts > 0 ? 1 : 0);
  const isCarMissing = vehicles < needed.vehicles;
  if (shifts >= needed.shifts && (!isCarMissing || ownShifts > 0)) return 0;
  const cars = Math.max(1, needed.vehicles - others);
  const missing = Math.max(needed.shifts - shifts, isCarMissing ? 1 : 0);
  return Math.min(MAX_ASK, Math.max(1, Math.ceil(missing / cars)));
}

/** Shifts of the kind that the car made within so many bands of a point, in load or in fluid temperature. */
function shiftsAt(own: readonly DrivenPoint[], cell: CoverageCell, bands: number): number {
  return own
    .filter((point) => {
      const load = Math.abs(point.loadBand - cell.loadBand);
      const temperature = Math.abs(point.fluidTemperatureBand - cell.fluidTemperatureBand);
      return point.kind === cell.kind && load + temperature <= bands && isKnown(point);
    })
    .reduce((sum, { shifts }) => sum + shifts, 0);
}

/** Bands of what was not logged lie nowhere. */
function isKnown({ loadBand, fluidTemperatureBand }: DrivenPoint): boolean {
  return loadBand >= 0 && fluidTemperatureBand >= 0;
}
