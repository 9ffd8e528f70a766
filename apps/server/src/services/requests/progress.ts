import type { DriveRequest } from '@syncline/store';

type Wanted = Pick<DriveRequest, 'wantedShifts' | 'wantedVehicles'>;

/** What one car is asked for: its share of all shifts, rounded up. */
export function shiftsPerCar({ wantedShifts, wantedVehicles }: Wanted): number {
  return Math.ceil(wantedShifts / wantedVehicles);
}

/**
 * How far a request is: all shifts that came in, from cars that were asked or not, and the cars that brought their share.
 * A car with fewer tells too little to count, and many shifts of one car do not stand in for another.
 */
export function progressOf(request: Wanted & Pick<DriveRequest, 'brought'>) {
  const share = shiftsPerCar(request);
  const shifts = request.brought.reduce((sum, car) => sum + car.shifts, 0);
  const vehicles = request.brought.filter((car) => car.shifts >= share).length;
  return { shifts, vehicles, isMet: vehicles >= request.wantedVehicles };
}
