import type { Scope } from '../actor.js';

/**
 * How many shifts there are, how many of them have each grade, and for how many the log could tell: a shift whose
 * tie-up could not be measured is no witness that there was none.
 */
export interface OutcomeCounts {
  readonly shifts: number;
  readonly flare: number;
  readonly tieUp: number;
  readonly harsh: number;
  readonly slow: number;
  readonly incomplete: number;
  readonly clean: number;
  readonly flareMeasured: number;
  readonly tieUpMeasured: number;
  readonly harshMeasured: number;
  readonly slowMeasured: number;
}

export interface VehicleCounts extends OutcomeCounts {
  readonly vehicleId: string;
}

export interface FleetFilter {
  readonly platformId: string;
  readonly revisionId?: string;
  readonly program?: string;
  readonly fluidTemperatureBand?: number;
}

/** One stratum of driving: what is compared only with itself. Band −1 and a null program were not logged. */
export interface StratumCounts extends VehicleCounts {
  readonly revisionId: string;
  readonly kind: string;
  readonly loadBand: number;
  readonly fluidTemperatureBand: number;
  readonly program: string | null;
}

/** A stratum of one drive. */
export interface DriveStratum extends Omit<StratumCounts, 'vehicleId' | 'revisionId'> {
  readonly logId: string;
  readonly revisionId: string | null;
  readonly drivenAtMs: number;
}

export interface TrendPoint {
  readonly revisionId: string;
  readonly calibrationTitle: string;
  readonly number: number;
  readonly createdAtMs: number;
  readonly byVehicle: readonly VehicleCounts[];
}

export interface FleetReads {
  overview(filter: { readonly platformId?: string }): {
    readonly vehicles: number;
    readonly logs: number;
    readonly shifts: number;
    readonly drivenS: number;
    /** Not yet ready, refused or failed. */
    readonly waitingLogs: number;
  };
  /** Counts of every vehicle by kind and load band, so that intervals can be clustered by vehicle. */
  matrix(filter: FleetFilter): readonly (VehicleCounts & {
    readonly kind: string;
    readonly loadBand: number;
  })[];
  /** Revisions of the platform that have shifts, oldest first. */
  trend(platformId: string): readonly TrendPoint[];
  /** With `scope` only the cars of one owner; in the order of their titles. */
  byVehicle(scope: Scope, filter: FleetFilter): readonly (VehicleCounts & { readonly title: string })[];
  /** How much was driven where: shifts and cars by kind, load band and fluid temperature band. */
  coverage(filter: FleetFilter): readonly {
    readonly kind: string;
    readonly loadBand: number;
    readonly fluidTemperatureBand: number;
    readonly shifts: number;
    readonly vehicles: number;
  }[];
  /** Counts by revision and vehicle. */
  byRevision(revisionIds: readonly string[]): readonly (VehicleCounts & { readonly revisionId: string })[];
  /** Counts by kind and vehicle: of one car, or of all cars of a platform. */
  byKind(filter: FleetFilter & { readonly vehicleId?: string }): readonly (VehicleCounts & {
    readonly kind: string;
  })[];
  /** Strata of the revisions to be compared. */
  strata(revisionIds: readonly string[]): readonly StratumCounts[];
  /** Strata of every car, over all revisions of the filter. */
  strataByVehicle(filter: FleetFilter): readonly Omit<StratumCounts, 'revisionId'>[];
  /** Strata of each drive of a car up to an instant, that of the instant included. */
  strataByDrive(drives: { readonly vehicleId: string; readonly untilMs: number }): readonly DriveStratum[];
}

/** A summary row that is not what the shifts say. */
export interface SummaryDifference {
  /** Platform, revision, vehicle, kind, bands and program. */
  readonly key: string;
  readonly kept: OutcomeCounts | null;
  readonly counted: OutcomeCounts | null;
}

export interface FleetWrites {
  /** Counts every shift again and replaces the summaries. Returns what was wrong. */
  recomputeSummaries(): readonly SummaryDifference[];
  /** Counts every shift again and only reports. Empty when the summaries are exact. */
  verifySummaries(): readonly SummaryDifference[];
}
