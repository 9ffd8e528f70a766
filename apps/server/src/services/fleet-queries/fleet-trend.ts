import type { RevisionOutcome } from '@syncline/contract';
import type { FleetFilter, Reads } from '@syncline/store';
import { outcomeOf } from '../rates.js';

export interface RevisionTrend {
  readonly revisionId: string;
  readonly calibrationTitle: string;
  readonly number: number;
  readonly createdAtMs: number;
  readonly shifts: number;
  readonly outcome: RevisionOutcome;
}

/** Outcome by revision, oldest first. */
export function fleetTrend(read: Reads, filter: FleetFilter): RevisionTrend[] {
  return read.fleet.trend(filter).map(({ byVehicle, ...point }) => ({
    ...point,
    shifts: byVehicle.reduce((sum, counts) => sum + counts.shifts, 0),
    outcome: outcomeOf(byVehicle),
  }));
}
