import type { FleetVehiclesResponse, OutcomeMeasure, Rate } from '@syncline/contract';
import { shrunkenRates } from '@syncline/fleet';
import type { FleetFilter, Reads } from '@syncline/store';
import { carRate, fleetRate, OUTCOME_OF_MEASURE, trialsOf } from '../rates.js';

/** Two-sided 99.7 %: of two dozen cars that are all alike, fewer than one in ten fleets shows an odd one. */
const Z_ODD_CAR = 3;

export type FleetCars = FleetVehiclesResponse;

/** What one car shows, whoever's it is. */
type CarRates = Omit<FleetCars['vehicles'][number], 'vehicleId' | 'title'>;

/**
 * Each car beside the whole fleet, by vehicle id, with its rate drawn towards that of all. A car is odd when the two
 * intervals do not meet. Of all cars: who asks is told of his own.
 */
export function fleetVehicles(
  read: Reads,
  { measure, ...filter }: FleetFilter & { readonly measure: OutcomeMeasure },
): { readonly fleet: Rate; readonly cars: ReadonlyMap<string, CarRates> } {
  const outcome = OUTCOME_OF_MEASURE[measure];
  const all = read.fleet.byVehicle({}, filter);
  const fleet = fleetRate(all, outcome);
  const shrunken = shrunkenRates({
    events: all.map((counts) => counts[outcome]),
    trials: all.map((counts) => trialsOf(counts, outcome)),
  });
  const cars = all.map((counts, i): [string, CarRates] => {
    const drawn = trialsOf(counts, outcome) > 0 ? shrunken[i] : undefined;
    return [
      counts.vehicleId,
      {
        rate: carRate(counts, outcome),
        shrunken: drawn ? { rate: drawn.rate, low: drawn.low, high: drawn.high } : null,
        isOdd: isApart(carRate(counts, outcome, Z_ODD_CAR), fleet),
      },
    ];
  });
  return { fleet, cars: new Map(cars) };
}

function isApart(car: Rate, fleet: Rate): boolean {
  return car.kind === 'estimate' && fleet.kind === 'estimate' && (car.low > fleet.high || car.high < fleet.low);
}
