import type { Actor, Scope } from '../actor.js';
import type { RevisionRef } from '../calibrations/calibrations.js';
import type { OutcomeCounts } from '../fleet/fleet.js';
import type { NewJob } from '../jobs/jobs.js';
import type { LogFormat, SignalMapDocument } from '../logs/logs.js';
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
  /** Free words of the maintainers, in the order of their letters. */
  readonly tags: readonly string[];
  readonly declaredDialect: string | null;
  /** Of the newest observation. */
  readonly observedDialect: string | null;
  readonly dialectVerdict: DialectVerdict;
  /** Whether it may be offered a revision as far as its dialect goes: confirmed, or decided by a maintainer. */
  readonly isDialectCleared: boolean;
  /** What it runs now. */
  readonly revision: RevisionRef | null;
  readonly logCount: number;
  /** Over every shift of the car. */
  readonly counts: OutcomeCounts;
  readonly lastDrivenAtMs: number | null;
}

export interface VehicleDetail extends VehicleSummary, VehicleProfile {
  /** Whether its person had her data removed, so that nobody is behind it. */
  readonly isFormer: boolean;
  readonly createdAtMs: number;
  /** Newest first. */
  readonly installations: readonly Installation[];
  /** Newest first. */
  readonly observations: readonly DialectObservation[];
  /** Newest first; the first holds unless it lapsed. */
  readonly decisions: readonly DialectDecision[];
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
  /** What was declared then. */
  readonly declaredDialect: string | null;
}

/** What a maintainer decided on a car whose dialect is not confirmed. */
export interface DialectDecision {
  readonly id: string;
  readonly decision: 'accept' | 'refuse';
  readonly reason: string;
  /** The pair that was decided on. */
  readonly declaredDialect: string | null;
  readonly observedDialect: string | null;
  readonly byName: string;
  readonly decidedAtMs: number;
  /** When the pair changed or another decision took its place; null while it holds. */
  readonly lapsedAtMs: number | null;
}

/** How the files of one format are read, as a person has confirmed it. */
export interface SavedSignalMap {
  readonly format: LogFormat;
  readonly map: SignalMapDocument;
  readonly updatedAtMs: number;
}

export interface VehicleReads {
  /** In the order of their titles. */
  list(scope: Scope, page: PageRequest): Page<VehicleSummary>;
  find(scope: Scope, vehicleId: string): VehicleDetail | undefined;
  /** Whose a car is and which gearbox it has: for who asks no more. */
  identify(
    scope: Scope,
    vehicleId: string,
  ): { readonly id: string; readonly ownerId: string; readonly platformId: string } | undefined;
  /** The revision that ran in the car at an instant; undefined when none was installed. */
  findInstalledAt(vehicleId: string, atMs: number): RevisionRef | undefined;
  /** One for each format that a person has mapped, in the order of the formats' names. Undefined for no such car in scope. */
  findSignalMaps(scope: Scope, vehicleId: string): readonly SavedSignalMap[] | undefined;
}

export interface VehicleWrites {
  /** Throws `not_found` for the platform or the owner. Returns the id. */
  create(input: { readonly actor: Actor; readonly ownerId: string; readonly profile: VehicleProfile }): string;
  /** A change that enters measures queues the car's logs again with `jobFor`, all at once. Returns their ids. */
  update(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly profile: Partial<Omit<VehicleProfile, 'platformId'>>;
    readonly jobFor: (logId: string) => NewJob;
  }): readonly string[];
  /**
   * From `sinceAtMs` on the car runs the revision; what ran at that instant ends there, what was entered for later
   * stays. Logs driven since then follow, unless their sender named another revision than was entered. Throws `not_found`, or `platform_mismatch` for a revision of another platform.
   */
  install(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly revisionId: string;
    readonly sinceAtMs: number;
  }): void;
  /** Replaces the free words that cohorts are chosen by. */
  setTags(input: { readonly actor: Actor; readonly vehicleId: string; readonly tags: readonly string[] }): void;
  observe(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly dialect: string | null;
    readonly source: 'capture' | 'inspection';
    readonly note: string;
  }): void;
  /** Holds for the pair of declared and observed dialect that the car has now, until that changes. */
  decideDialect(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly decision: DialectDecision['decision'];
    readonly reason: string;
  }): void;
  /**
   * Replaces the map for files of a format and queues the car's logs in `awaitingMap`, `failed` or `refused` again, all
   * at once. Returns their ids.
   */
  setSignalMap(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly format: LogFormat;
    readonly map: SignalMapDocument;
    readonly jobFor: (logId: string) => NewJob;
  }): readonly string[];
}
