import type { ComparisonSubject, ReportComparison } from '@syncline/contract';
import type { Reads } from '@syncline/store';
import { compareDrive } from '../report/compare-drive.js';
import { labelsOf } from '../report/revision-labels.js';

/** Fewer other cars are no fleet: what they did would be told of single testers. */
const MIN_OTHER_CARS = 3;
const MIN_FLEET_SHIFTS = 30;

/** A drive of a car, and the revision that it ran. */
export interface DriveBesideFleet {
  readonly platformId: string;
  readonly revisionId: string | undefined;
  readonly vehicleId: string;
  readonly logId: string;
  readonly drivenAtMs: number;
}

/** Other cars under the same revision; where they are too few, those of the platform whatever they run. */
export function driveBesideFleet(
  read: Reads,
  { platformId, revisionId, vehicleId, logId, drivenAtMs }: DriveBesideFleet,
): ReportComparison[] {
  const now = read.fleet.strataByDrive({ vehicleId, untilMs: drivenAtMs }).filter((stratum) => stratum.logId === logId);
  const compare = (subject: ComparisonSubject, under: string | undefined) => {
    const others = read.fleet
      .strataByVehicle({ platformId, revisionId: under })
      .filter((stratum) => stratum.vehicleId !== vehicleId)
      .map((stratum) => ({ ...stratum, source: stratum.vehicleId }));
    return compareDrive(now, others, {
      subject,
      revisionLabels: labelsOf(read, under === undefined ? [] : [under]),
      minSources: MIN_OTHER_CARS,
      minShifts: MIN_FLEET_SHIFTS,
    });
  };
  if (revisionId === undefined) return [compare('fleetPlatform', undefined)];
  const underSame = compare('fleetRevision', revisionId);
  return underSame.kind === 'compared' ? [underSame] : [underSame, compare('fleetPlatform', undefined)];
}
