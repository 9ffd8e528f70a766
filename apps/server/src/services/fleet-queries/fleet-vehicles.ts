import type { FleetVehiclesResponse, OutcomeMeasure, Rate } from '@syncline/contract';
import { shrunkenRates } from '@syncline/fleet';
import type { FleetFilter, Reads, Scope } from '@syncline/store';
import { carRate, fleetRate, OUTCOME_OF_MEASURE, trialsOf } from '../rates.js';

/** Two-sided 99.7 %: of two dozen cars that are all alike, fewer than one in ten fleets shows an odd one. */
const Z_ODD_CAR = 3;

export type FleetCars = FleetVehiclesResponse;

/**
 * Each car in scope beside the whole fleet, with its rate drawn towards that of all. A car is odd when the two intervals
 * do not meet.
 */
export function fleetVehicles(
  read: Reads,
  { scope, measure, ...filter }: FleetFilter & { readonly scope: Scope; readonly measure: OutcomeMeasure },
): FleetCars {
  const outcome = OUTCOME_OF_MEASURE[measure];
  const all = read.fleet.byVehicle({}, filter);
  const fleet = fleetRate(all, outcome);
  const shrunken = shrunkenRates({
    events: all.map((counts) => counts[outcome]),
    trials: all.map((counts) => trialsOf(counts, outcome)),
  });
  const shrunkenOf = new Map(all.map(({ vehicleId }, i) => [vehicleId, shrunken[i]]));
  const inScope = scope.ownerId === undefined ? all : read.fleet.byVehicle(scope, filter);
  const vehicles = inScope.map((counts) => {
    const drawn = trialsOf(counts, outcome) > 0 ? shrunkenOf.get(counts.vehicleId) : undefined;
    return {
      vehicleId: counts.vehicleId,
      title: counts.title,
      rate: carRate(counts, outcome),
      shrunken: drawn ? { rate: drawn.rate, low: drawn.low, high: drawn.high } : null,
      isOdd: isApart(carRate(counts, outcome, Z_ODD_CAR), fleet),
    };
  });
  return { fleet, vehicles };
}

function isApart(car: Rate, fleet: Rate): boolean {
  return car.kind === 'estimate' && fleet.kind === 'estimate' && (car.low > fleet.high || car.high < fleet.low);
}
