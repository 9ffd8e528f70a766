import { evaluateRule, type OperatingPoint, type RevisionContent } from '@syncline/calibration';
import type { Car } from '@syncline/drivetrain';
import { planRequests } from './drive-plan.ts';
import { findIdealPoints } from './ideal-points.ts';
import { type Gearset, RULE } from './loop-setting.ts';

/** Places at which a map is held against the truth, planned as the fleet's requests are but none of them. */
const PLACES = 360;
/** Places at which each car is held against the average one. */
const TRIM_PLACES = 60;

/** ln of commanded over ideal pressure at one place. */
export interface PlaceError {
  readonly shift: string;
  readonly point: OperatingPoint;
  readonly ln: number;
}

/** How far a map is from the truth: ln of commanded over ideal pressure. */
export interface MapError {
  /** R.m.s. and median size over the places at which the target time can be met. */
  readonly rms: number;
  readonly median: number;
  /** R.m.s. over these and the places at which time leaps over its target, against the least pressure without a flare. */
  readonly rmsEverywhere: number;
  /** Those at which the target time can be met. */
  readonly places: readonly PlaceError[];
}

/** Makes the judge of maps by what the average car wants. */
export function mapErrorJudge(gearset: Gearset, average: Car): (content: RevisionContent) => MapError {
  const ideal = findIdealPoints(gearset, average, planRequests(gearset, 'judged places', PLACES));
  return (content) => {
    const errors = ideal.map(({ shift, point, pressureKpa, isTimed }) => ({
      shift,
      point,
      ln: Math.log(evaluateRule(gearset.layout, content, RULE, point).value / pressureKpa),
      isTimed,
    }));
    const places = errors.filter(({ isTimed }) => isTimed);
    return {
      rms: rootMeanSquare(places.map(({ ln }) => ln)),
      median: median(places.map(({ ln }) => Math.abs(ln))),
      rmsEverywhere: rootMeanSquare(errors.map(({ ln }) => ln)),
      places,
    };
  };
}

/**
 * What each car needs over the average one by shift kind (ln clutch torque): at each place the pressures over the return
 * spring that each wants, the median of their ratio.
 */
export function neededTrims(gearset: Gearset, average: Car, cars: readonly Car[]): Map<string, Map<string, number>> {
  const returnKpa = gearset.layout.rules.find(({ id }) => id === RULE)?.returnPressureKpa ?? 0;
  const places = planRequests(gearset, 'places of trims', TRIM_PLACES);
  const overReturn = (car: Car) =>
    places.map((place) => {
      const [ideal] = findIdealPoints(gearset, car, [place]);
      return ideal === undefined ? Number.NaN : ideal.pressureKpa - returnKpa;
    });
  const usual = overReturn(average);
  return new Map(
    cars.map((car) => {
      const own = overReturn(car);
      const byKind = new Map<string, number[]>();
      for (const [i, { shift }] of places.entries()) {
        const ratio = own[i] / usual[i];
        if (ratio > 0) byKind.set(shift, [...(byKind.get(shift) ?? []), Math.log(ratio)]);
      }
      return [car.id, new Map([...byKind].map(([kind, found]) => [kind, median(found)]))];
    }),
  );
}

function rootMeanSquare(values: readonly number[]): number {
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
}
