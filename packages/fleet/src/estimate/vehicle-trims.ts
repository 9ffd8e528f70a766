import type { ArrowMeans, ArrowPosterior } from './arrow-posterior.js';
import type { VarianceComponents } from './block-prior.js';
import type { FleetSums } from './fleet-sums.js';

/** An effect in ln of clutch torque, as wanted correction: above 0 where the car needs more than the fleet. */
export interface TrimEstimate {
  readonly trimLn: number;
  readonly sdLn: number;
  /**
   * The estimate over its own spread before the data, N(0, 1) for a car like the others: mean/√(τ² − variance).
   * 0 where there is no evidence.
   */
  readonly surprise: number;
}

/** What belongs to one car and not to the map. */
export interface VehicleTrim extends TrimEstimate {
  readonly vehicleId: string;
  readonly byKind: readonly KindTrim[];
}

/** b_j + b_jq: what the car needs in this kind of shift. `surprise` is of b_jq, what is peculiar to the kind. */
export interface KindTrim extends TrimEstimate {
  readonly shiftKind: string;
}

/** The trims of a vehicle without their uncertainty. */
export interface TrimMeans {
  readonly vehicleId: string;
  readonly trimLn: number;
  readonly byKind: readonly { readonly shiftKind: string; readonly trimLn: number }[];
}

export function trimMeans(ids: readonly string[], { kinds }: FleetSums, means: ArrowMeans): TrimMeans[] {
  const byKind: TrimMeans['byKind'][number][][] = ids.map(() => []);
  for (const [q, effects] of means.kinds.entries()) {
    for (const { vehicle, mean } of effects) {
      byKind[vehicle].push({ shiftKind: kinds[q].kind, trimLn: means.vehicles[vehicle].mean + mean });
    }
  }
  return ids.map((vehicleId, j) => ({ vehicleId, trimLn: means.vehicles[j].mean, byKind: byKind[j] }));
}

/** Trims of every vehicle from the posterior. In pressure the trim is `trimLn`·(p − p_ret)/p. */
export function describeTrims(
  ids: readonly string[],
  sums: FleetSums,
  posterior: ArrowPosterior,
  { vehicleSd, vehicleShiftSd }: VarianceComponents,
): VehicleTrim[] {
  const byKind: KindTrim[][] = ids.map(() => []);
  for (const [q, effects] of posterior.kinds.entries()) {
    for (const { vehicle, mean, variance, covariance } of effects) {
      const general = posterior.vehicles[vehicle];
      byKind[vehicle].push({
        shiftKind: sums.kinds[q].kind,
        trimLn: general.mean + mean,
        sdLn: Math.sqrt(general.variance + variance + 2 * covariance),
        surprise: surpriseOf(mean, variance, vehicleShiftSd),
      });
    }
  }
  return ids.map((vehicleId, j) => {
    const { mean, variance } = posterior.vehicles[j];
    return {
      vehicleId,
      trimLn: mean,
      sdLn: Math.sqrt(variance),
      surprise: surpriseOf(mean, variance, vehicleSd),
      byKind: byKind[j],
    };
  });
}

function surpriseOf(mean: number, variance: number, sd: number): number {
  const explained = sd * sd - variance;
  return explained > 1e-6 * sd * sd ? mean / Math.sqrt(explained) : 0;
}
