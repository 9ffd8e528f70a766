import type { Actor, Scope } from '../actor.js';
import type { RevisionRef } from '../calibrations/calibrations.js';
import type { OutcomeCounts } from '../fleet/fleet.js';
import type { NewJob } from '../jobs/jobs.js';
import type { SignalMapDocument } from '../logs/logs.js';
import type { Page, PageRequest } from '../page.js';

export type DialectVerdict = 'confirmed' | 'contradicted' | 'unknown';

/** What an owner declares of a car. */
export interface VehicleProfile {
  readonly title: string;
  readonly platformId: string;
  readonly declaredDialect: string | null;
  readonly engine: string;
  readonly massKg: number;
  readonly ratedInputTorqueNm: number;
  readonly inputInertiaKgM2: number;
  readonly tyreRadiusM: number;
  readonly finalDriveRatio: number;
  readonly note: string;
}

export interface VehicleSummary {
  readonly id: string;
  readonly title: string;
  readonly ownerId: string;
  readonly ownerName: string;
  readonly platformId: string;
  readonly platformTitle: string;
  readonly engine: string;
  readonly declaredDialect: string | null;
  /** Of the newest observation. */
  readonly observedDialect: string | null;
  readonly dialectVerdict: DialectVerdict;
  /** What it runs now. */
  readonly revision: RevisionRef | null;
  readonly logCount: number;
  /** Over every shift of the car. */
  readonly counts: OutcomeCounts;
  readonly lastDrivenAtMs: number | null;
}

export interface VehicleDetail extends VehicleSummary, VehicleProfile {
  readonly createdAtMs: number;
  /** Newest first. */
  readonly installations: readonly Installation[];
  /** Newest first. */
  readonly observations: readonly DialectObservation[];
}

export interface Installation {
  readonly id: string;
  readonly revision: RevisionRef;
  readonly contentHash: string;
  readonly sinceAtMs: number;
  /** Null while installed. */
  readonly untilAtMs: number | null;
}

export interface DialectObservation {
  readonly id: string;
  readonly dialect: string | null;
  readonly source: 'capture' | 'inspection';
  readonly note: string;
  readonly observedAtMs: number;
  readonly byName: string;
}

export interface VehicleReads {
  /** In the order of their titles. */
  list(scope: Scope, page: PageRequest): Page<VehicleSummary>;
  find(scope: Scope, vehicleId: string): VehicleDetail | undefined;
  /** The revision that ran in the car at an instant; undefined when none was installed. */
  findInstalledAt(vehicleId: string, atMs: number): RevisionRef | undefined;
  /** `map` is null until a person has made one. Undefined when there is no such car in scope. */
  findSignalMap(
    scope: Scope,
    vehicleId: string,
  ): { readonly map: SignalMapDocument | null; readonly updatedAtMs: number | null } | undefined;
}

export interface VehicleWrites {
  /** Throws `not_found` for the platform or the owner. Returns the id. */
  create(input: { readonly actor: Actor; readonly ownerId: string; readonly profile: VehicleProfile }): string;
  update(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly profile: Partial<Omit<VehicleProfile, 'platformId'>>;
  }): void;
  /**
   * From `sinceAtMs` on the car runs the revision; what ran at that instant ends there, what was entered for later
   * stays. Throws `not_found`, or `platform_mismatch` for a revision of another platform.
   */
  install(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly revisionId: string;
    readonly sinceAtMs: number;
  }): void;
  observe(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly dialect: string | null;
    readonly source: 'capture' | 'inspection';
    readonly note: string;
  }): void;
  /** Replaces the map and queues the car's logs in `awaitingMap`, `failed` or `refused` again, all at once. Returns their ids. */
  setSignalMap(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly map: SignalMapDocument;
    readonly jobFor: (logId: string) => NewJob;
  }): readonly string[];
}
