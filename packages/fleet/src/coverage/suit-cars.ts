import type { CoverageModel, OperatingCell } from './find-gaps.js';

/** What is known of a car that could be asked to drive. */
export interface CarRecord {
  readonly vehicleId: string;
  /** Observed; null while nothing was. */
  readonly dialect: string | null;
  /** Whether it may be offered a revision as far as its dialect goes. */
  readonly isCleared: boolean;
  /** What it runs now. */
  readonly revisionId: string | null;
  readonly lastDrivenAtMs: number | null;
  /** Everything that it drove, under any revision. Bands of −1 were not logged. */
  readonly driven: readonly (OperatingCell & { readonly shifts: number })[];
}

/** How near the car has come to a point: at it, in bands next to it, or not so far. */
export type Reach = 'there' | 'beside' | 'no';
/** Whether it runs what the request is about, may be given it, or may not. */
export type Runs = 'runs' | 'mayRun' | 'mayNot';

export interface CarSuitability {
  readonly vehicleId: string;
  readonly runs: Runs;
  readonly isActive: boolean;
  readonly reach: Reach;
  /** Whether no car of its dialect has driven at the point. */
  readonly bringsDialect: boolean;
  /** Its own shifts at the point, under any revision. */
  readonly ownShifts: number;
  /** What a drive of this very car would bring. */
  readonly gain: number;
  readonly widthAfter: number;
  /** Worth asking: it runs or may run the revision, was driven lately, and comes near such driving. */
  readonly isSuitable: boolean;
}

/** A car that was not driven for longer than this may be laid up. */
export const ACTIVE_MS = 60 * 24 * 3600_000;
/** Fewer shifts in a band happened to come about. */
const MIN_REACHED_SHIFTS = 3;

/** Whether a car was driven lately. */
export function isActiveAt(nowMs: number, lastDrivenAtMs: number | null): boolean {
  return lastDrivenAtMs !== null && nowMs - lastDrivenAtMs <= ACTIVE_MS;
}

/**
 * Cars that could drive at a point, those worth asking first, then by what each would bring. `revisionId` null means that
 * any revision will do, but what a car runs must then be known.
 */
export function suitCars(
  model: CoverageModel,
  request: OperatingCell & { readonly revisionId: string | null; readonly missingDialects: readonly string[] },
  options: { readonly cars: readonly CarRecord[]; readonly nowMs: number },
): CarSuitability[] {
  return options.cars
    .map((car): CarSuitability => {
      const runs = runsOf(car, request.revisionId);
      const isActive = isActiveAt(options.nowMs, car.lastDrivenAtMs);
      const reach = reachOf(car, request);
      const found = model.gainOf(request, car);
      return {
        vehicleId: car.vehicleId,
        runs,
        isActive,
        reach,
        bringsDialect: car.dialect !== null && request.missingDialects.includes(car.dialect),
        ownShifts: shiftsWithin(car, request, { load: 0, temperature: 0 }),
        gain: found?.gain ?? 0,
        widthAfter: found?.widthAfter ?? Number.NaN,
        isSuitable: runs !== 'mayNot' && isActive && reach !== 'no',
      };
    })
    .sort(
      (a, b) => Number(b.isSuitable) - Number(a.isSuitable) || b.gain - a.gain || (a.vehicleId < b.vehicleId ? -1 : 1),
    );
}

function runsOf({ isCleared, revisionId }: CarRecord, wanted: string | null): Runs {
  if (revisionId !== null && (wanted === null || wanted === revisionId)) return 'runs';
  return isCleared ? 'mayRun' : 'mayNot';
}

/**
 * The load is looked at within the kind of shift, the fluid temperature over all of them: where the car lives and how it
 * is loaded decide how warm the fluid gets, whatever the gear.
 */
function reachOf(car: CarRecord, point: OperatingCell): Reach {
  const isReached = (bands: number) =>
    shiftsWithin(car, point, { load: bands }) >= MIN_REACHED_SHIFTS &&
    shiftsWithin(car, { ...point, kind: undefined }, { temperature: bands }) >= MIN_REACHED_SHIFTS;
  if (isReached(0)) return 'there';
  return isReached(1) ? 'beside' : 'no';
}

/** Shifts within so many bands of a point; a dimension without a number, or a kind that is left out, may be any. */
function shiftsWithin(
  { driven }: CarRecord,
  point: Omit<OperatingCell, 'kind'> & { readonly kind: string | undefined },
  bands: { readonly load?: number; readonly temperature?: number },
): number {
  const isNear = (band: number, wanted: number, within: number | undefined) =>
    within === undefined || (band >= 0 && Math.abs(band - wanted) <= within);
  return driven
    .filter(
      ({ kind, loadBand, temperatureBand }) =>
        (point.kind === undefined || kind === point.kind) &&
        isNear(loadBand, point.loadBand, bands.load) &&
        isNear(temperatureBand, point.temperatureBand, bands.temperature),
    )
    .reduce((sum, { shifts }) => sum + shifts, 0);
}
