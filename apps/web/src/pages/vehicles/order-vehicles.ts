import type { VehicleSummary } from '@syncline/contract';
import { endOf } from '../../format/rate-columns.js';
import type { VehiclesSearch } from './vehicles-search.js';

/** The cars that match, in the order asked for: by name, else the largest or newest first, cars without a value last. */
export function orderVehicles(cars: readonly VehicleSummary[], search: VehiclesSearch): VehicleSummary[] {
  const sought = search.find?.trim().toLowerCase() ?? '';
  const matches = cars.filter(
    (car) =>
      (search.platform === undefined || car.platformId === search.platform) &&
      (search.verdict === undefined || car.dialectVerdict === search.verdict) &&
      `${car.title} ${car.ownerName} ${car.engine} ${car.revisionLabel ?? ''}`.toLowerCase().includes(sought),
  );
  const value = SORT_VALUES[search.sort ?? 'title'];
  if (value === undefined) return matches.sort((a, b) => a.title.localeCompare(b.title, 'en'));
  return matches.sort((a, b) => value(b) - value(a));
}

const SORT_VALUES: Record<NonNullable<VehiclesSearch['sort']>, ((car: VehicleSummary) => number) | undefined> = {
  title: undefined,
  shifts: (car) => car.shiftCount,
  flare: (car) => endOf(car.flare, 'rate') ?? -1,
  tieUp: (car) => endOf(car.tieUp, 'rate') ?? -1,
  lastDriven: (car) => (car.lastDrivenAt === null ? -1 : Date.parse(car.lastDrivenAt)),
};
