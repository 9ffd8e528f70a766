import type { CellFilter, PlacedMeasures, PlacedSlice } from '@syncline/fleet';
import type { Scope } from '../actor.js';
import type { SummaryNames } from './summary-names.js';

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

/** Some of the cars: all that is given must hold. */
export interface Cohort {
  /** The dialect that a car speaks: observed where it is known, else declared. */
  readonly dialect?: string;
  /** As the owner wrote it. */
  readonly engine?: string;
  readonly vehicleIds?: readonly string[];
}

export interface FleetFilter extends Cohort {
  readonly platformId: string;
  readonly revisionId?: string;
  readonly revisionIds?: readonly string[];
  readonly program?: string;
  readonly fluidTemperatureBand?: number;
}

/** A value that cars can be picked by, with how many have it. */
export interface CohortValue {
  readonly value: string;
  readonly vehicles: number;
}

/** Packed outcomes, speed bands added together. */
export interface FleetSlices {
  /** Sorted by car. */
  readonly slices: readonly PlacedSlice[];
  /** Which cells the filter asks for. */
  readonly cells: CellFilter;
  readonly names: SummaryNames;
}

/** Packed measures. */
export interface FleetMeasures {
  readonly names: SummaryNames;
  /** One after another: all at once may be hundreds of MiB. Sorted by car. */
  readonly slices: () => Iterable<PlacedMeasures>;
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
  overview(filter: Cohort & { readonly platformId?: string }): {
    readonly vehicles: number;
    readonly logs: number;
    readonly shifts: number;
    readonly drivenS: number;
    /** Not yet ready, refused or failed. */
    readonly waitingLogs: number;
  };
  /** What the cars of a platform can be picked by, and the programs that were driven. */
  cohorts(platformId: string): {
    readonly dialects: readonly CohortValue[];
    readonly engines: readonly CohortValue[];
    readonly programs: readonly string[];
  };
  /** Cars of the platform in the cohort, or those of one owner among them; null when it is everybody. */
  cohortSize(filter: FleetFilter, scope?: Scope): number | null;
  /** Outcomes of each car under each revision by operating point. */
  slices(filter: FleetFilter): FleetSlices;
  /** Measures of each car under each revision by operating point; programs are not told apart. */
  measures(filter: Omit<FleetFilter, 'program'>): FleetMeasures;
  /** A text that stays the same as long as the summaries that the filter picks do. */
  state(filter: FleetFilter): string;
  /** Brings summaries into memory a few at a time, so that no first question has to wait for all of them. */
  warmUp(): Iterable<void>;
  hasSummaries(): boolean;
  /** Revisions of the platform that have shifts, oldest first. */
  trend(filter: FleetFilter): readonly TrendPoint[];
  /** The cars of a platform in the order of their titles; with `scope` those of one owner. */
  titles(scope: Scope, platformId: string): readonly { readonly vehicleId: string; readonly title: string }[];
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
  /** Strata of one car or of every car, over all revisions of the filter. */
  strataByVehicle(filter: FleetFilter & { readonly vehicleId?: string }): readonly Omit<StratumCounts, 'revisionId'>[];
  /** Strata of each drive of a car up to an instant, that of the instant included. */
  strataByDrive(drives: { readonly vehicleId: string; readonly untilMs: number }): readonly DriveStratum[];
}

/** The summary of one car under one revision that is not what the shifts say. */
export interface SummaryDifference {
  /** Platform, revision (empty without one) and vehicle. */
  readonly key: string;
  /** Over all its shifts; null where there is none. */
  readonly kept: OutcomeCounts | null;
  readonly counted: OutcomeCounts | null;
  readonly differing: readonly ('totals' | 'outcomes' | 'measures')[];
}

export interface FleetWrites {
  /** Counts every shift again and replaces the summaries. Returns what was wrong. */
  recomputeSummaries(): readonly SummaryDifference[];
  /** Counts every shift again and only reports. Empty when the summaries are exact. */
  verifySummaries(): readonly SummaryDifference[];
}
