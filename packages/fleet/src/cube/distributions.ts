import type { QuantileSketch } from '../summaries/quantile-sketch.js';
import {
  BUCKET_LIMIT,
  BUCKET_OFFSET,
  eachBucket,
  eachSum,
  type MeasureSlice,
  RELATIVE_ERROR,
  type SliceMeasure,
  stepOf,
} from './measure-slice.js';

/** The measures of one vehicle under one revision. */
export interface PlacedMeasures {
  readonly vehicleId: string;
  readonly revisionId: string;
  readonly slice: MeasureSlice;
}

/** How a measure is spread: exact count, mean and variance, and a sketch for quantiles and histograms. */
export interface Distribution {
  readonly count: number;
  readonly vehicles: number;
  /** NaN when empty. */
  readonly mean: number;
  /** Unbiased; NaN below two values. */
  readonly variance: number;
  readonly sketch: QuantileSketch;
}

/** Which measure is asked for, and which groups each place (`coveragePart`) belongs to. */
export interface DistributionQuery {
  readonly measure: SliceMeasure;
  readonly groupsOf: (place: number) => readonly number[];
}

/**
 * The distribution of one measure in each group of places, over all slices. Asks `groupsOf` once for each place.
 * O(buckets of the measure).
 */
export function distributions(
  slices: Iterable<PlacedMeasures>,
  { measure, groupsOf }: DistributionQuery,
): Map<number, Distribution> {
  const groups = new Map<number, GroupSums>();
  const byPlace = new Map<number, PlaceSums>();
  const sumsAt = (place: number) => {
    let sums = byPlace.get(place);
    if (sums === undefined) {
      const ofPlace = groupsOf(place).map((group) => getGroup(groups, group));
      byPlace.set(place, (sums = { place, groups: ofPlace, buckets: new Float64Array(BUCKET_LIMIT) }));
    }
    return sums;
  };
  for (const { vehicleId, slice } of slices) {
    let sums: PlaceSums | undefined;
    // What is kept of one place lies together, and is looked up once.
    eachBucket(slice, measure, (place, bucket, count) => {
      if (sums?.place !== place) sums = sumsAt(place);
      sums.buckets[bucket] += count;
    });
    eachSum(slice, measure, (place, count, steps, squares) => {
      for (const group of sumsAt(place).groups) group.addSum(vehicleId, count, steps, squares);
    });
  }
  for (const sums of byPlace.values()) for (const group of sums.groups) group.addBuckets(sums.buckets);
  return new Map([...groups].map(([group, sums]) => [group, sums.distribution(stepOf(measure))]));
}

/** Values of one place by bucket, and the groups that it belongs to: added to them once for all slices. */
interface PlaceSums {
  readonly place: number;
  readonly groups: readonly GroupSums[];
  readonly buckets: Float64Array;
}

function getGroup(groups: Map<number, GroupSums>, group: number): GroupSums {
  let sums = groups.get(group);
  if (sums === undefined) groups.set(group, (sums = new GroupSums()));
  return sums;
}

class GroupSums {
  private readonly buckets = new Float64Array(BUCKET_LIMIT);
  private readonly vehicles = new Set<string>();
  private lastVehicle: string | undefined;
  private count = 0;
  private steps = 0;
  private squares = 0;

  addBuckets(buckets: Float64Array): void {
    for (let bucket = 0; bucket < BUCKET_LIMIT; bucket++) this.buckets[bucket] += buckets[bucket];
  }

  addSum(vehicleId: string, count: number, steps: number, squares: number): void {
    if (vehicleId !== this.lastVehicle) this.vehicles.add(vehicleId);
    this.lastVehicle = vehicleId;
    this.count += count;
    this.steps += steps;
    this.squares += squares;
  }

  distribution(step: number): Distribution {
    const { count, steps, squares } = this;
    const positive = new Map<number, number>();
    this.buckets.forEach((values, bucket) => {
      if (bucket > 0 && values > 0) positive.set(bucket - BUCKET_OFFSET, values);
    });
    return {
      count,
      vehicles: this.vehicles.size,
      mean: (steps / count) * step,
      variance: count < 2 ? Number.NaN : ((squares - steps ** 2 / count) / (count - 1)) * step ** 2,
      sketch: { relativeError: RELATIVE_ERROR, zeroCount: this.buckets[0], positive, negative: new Map() },
    };
  }
}
