import { sha256Hex } from '@syncline/calibration';

/** How far a release goes in one step, and what must have come in before the next step may be taken. */
export interface RolloutStage {
  /** Share of the cohort, above 0 and at most 1, or a number of cars. */
  readonly size: { readonly kind: 'share'; readonly share: number } | { readonly kind: 'cars'; readonly cars: number };
  /** Least number of shifts driven under the released revision by cars that have it, over all stages so far. */
  readonly minShifts: number;
  /** Least number of cars that drove them. */
  readonly minVehicles: number;
}

/** A car of the cohort with its place in the order of the release. */
export interface PlacedCar {
  readonly vehicleId: string;
  readonly place: string;
}

/**
 * The place of a car in a release: SHA-256 (FIPS 180-4) of `<release id>/<vehicle id>` in lower-case hex, compared as
 * text. It depends on nothing else, so a car that joins later has the place that it would always have had, and which
 * cars go first differs from release to release.
 */
export function placeInRollout(releaseId: string, vehicleId: string): string {
  return sha256Hex(`${releaseId}/${vehicleId}`);
}

/** Cars that a stage takes of a cohort: a share is rounded up, so that no stage of a cohort with cars is empty. */
export function stageSize({ size }: RolloutStage, cohortSize: number): number {
  // A share such as 0.1 of 30 cars is 3.0000000000000004 in floating point, which is three cars and not four.
  const cars = size.kind === 'cars' ? size.cars : Math.ceil(Number((size.share * cohortSize).toFixed(9)));
  return Math.min(cohortSize, cars);
}

/**
 * The cars of a stage: the first of the cohort in the order of their places, and every car that was taken in before.
 * A larger stage contains the smaller; no car that joins the cohort later puts another out. In the order of places.
 */
export function carsOfStage<Car extends PlacedCar>(
  stage: RolloutStage,
  cohort: readonly Car[],
  taken: ReadonlySet<string>,
): Car[] {
  const size = stageSize(stage, cohort.length);
  return [...cohort]
    .sort((a, b) => (a.place < b.place ? -1 : a.place > b.place ? 1 : 0))
    .filter((car, index) => index < size || taken.has(car.vehicleId));
}

/** What was driven under the released revision. */
export interface StageEvidence {
  readonly shifts: number;
  readonly vehicles: number;
}

/** Whether the next stage may be begun as far as evidence goes. */
export function hasStageEvidence(stage: RolloutStage, { shifts, vehicles }: StageEvidence): boolean {
  return shifts >= stage.minShifts && vehicles >= stage.minVehicles;
}

/** What is wrong with a ladder of stages, in words; empty when nothing is. The last stage is the whole cohort. */
export function stageFaults(stages: readonly RolloutStage[]): string[] {
  const faults: string[] = [];
  for (const [index, { size }] of stages.entries()) {
    const before = stages[index - 1]?.size;
    if (before === undefined) continue;
    const grows =
      size.kind === 'share'
        ? before.kind === 'cars' || size.share > before.share
        : before.kind === 'cars' && size.cars > before.cars;
    if (!grows) {
      faults.push(`Stage ${index + 1} does not go beyond stage ${index}: counts of cars first, then rising shares.`);
    }
  }
  const last = stages.at(-1)?.size;
  if (last === undefined || last.kind !== 'share' || last.share !== 1) {
    faults.push('The last stage takes the whole cohort (share 1).');
  }
  return faults;
}
