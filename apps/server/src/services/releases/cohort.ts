import type { GateReason } from '@syncline/contract';
import { type PlacedCar, placeInRollout } from '@syncline/fleet';
import type { ReleasableCar, ReleaseCohort } from '@syncline/store';
import { fitReasons, type GatedRevision, hardwareReasons, type LayoutVersions } from './gate.js';

export interface CohortCar extends PlacedCar {
  readonly car: ReleasableCar;
}

/** Why a car may not have the revision at all; a cohort cannot ask for it. */
export function cohortReasons(
  car: ReleasableCar,
  cohort: ReleaseCohort,
  revision: GatedRevision,
  layoutVersions: LayoutVersions,
): GateReason[] {
  return [...fitReasons(car, revision, layoutVersions), ...hardwareReasons(car, cohort.hardware)];
}

/** Whether a car is one of those that were asked for. Parts of engines are found in any case of letters. */
export function isAskedFor(car: Pick<ReleasableCar, 'dialect' | 'engine' | 'tags'>, cohort: ReleaseCohort): boolean {
  const { dialects, engines, tags } = cohort;
  const engine = car.engine.toLowerCase();
  return (
    (dialects.length === 0 || (car.dialect !== null && dialects.includes(car.dialect))) &&
    (engines.length === 0 || engines.some((part) => engine.includes(part.toLowerCase()))) &&
    (tags.length === 0 || tags.some((tag) => car.tags.includes(tag)))
  );
}

/** The cars of a release with their places: those that were asked for and may have the revision. */
export function cohortCars(
  cars: readonly ReleasableCar[],
  release: { readonly id: string; readonly cohort: ReleaseCohort },
  revision: GatedRevision,
  layoutVersions: LayoutVersions,
): CohortCar[] {
  return cars
    .filter(
      (car) =>
        isAskedFor(car, release.cohort) && cohortReasons(car, release.cohort, revision, layoutVersions).length === 0,
    )
    .map((car) => ({ vehicleId: car.vehicleId, place: placeInRollout(release.id, car.vehicleId), car }));
}
