import type { PartLook, RolloutStage, WatchedRow, WatchVerdict } from '@syncline/fleet';
import type { Actor } from '../actor.js';
import type { RevisionRef } from '../calibrations/calibrations.js';
import type { Page, PageRequest } from '../page.js';
import type { DialectVerdict } from '../vehicles/vehicles.js';

export type ReleaseState = 'draft' | 'running' | 'held' | 'complete' | 'recalled';

/** Which cars of the platform a release is for. An empty list asks for nothing. */
export interface ReleaseCohort {
  /** Verified bus dialects. */
  readonly dialects: readonly string[];
  /** Parts of what the owner says of the engine, e.g. `diesel`; any of them. */
  readonly engines: readonly string[];
  /** Any of them. */
  readonly tags: readonly string[];
  /** Hardware revisions of the control unit. */
  readonly hardware: readonly string[];
}

/** What of a part is kept of a look. Rates and their change are shares of shifts. */
export interface StoredPartLook extends Pick<PartLook, 'measure' | 'loadBand' | 'isDoubtful'> {
  readonly kind: PartLook['look']['kind'];
  /** Null where there was too little to look at; `why` then says what was missing. */
  readonly change: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly why: string;
  /** Driven alike under both revisions. */
  readonly olderShifts: number;
  readonly olderEvents: number;
  readonly newerShifts: number;
  readonly newerEvents: number;
}

export interface ReleaseLook {
  readonly id: string;
  readonly atMs: number;
  readonly shifts: number;
  readonly verdict: WatchVerdict;
  readonly parts: readonly StoredPartLook[];
}

export interface Release {
  readonly id: string;
  readonly platformId: string;
  readonly platformTitle: string;
  readonly revision: RevisionRef;
  readonly layoutVersion: number;
  readonly contentHash: string;
  readonly replaces: RevisionRef | null;
  readonly words: string;
  readonly cohort: ReleaseCohort;
  readonly stages: readonly RolloutStage[];
  readonly harmLimit: number;
  readonly state: ReleaseState;
  readonly stage: number;
  readonly createdByName: string;
  readonly createdAtMs: number;
}

export interface ListedRelease extends Release {
  /** Cars that were taken in. */
  readonly taken: number;
  /** Those of them whose people say that they installed it. */
  readonly installed: number;
  /** Those of them with shifts that are counted under the revision. */
  readonly driven: number;
  /** Why it is held or was recalled; empty in any other state. */
  readonly stateReason: string;
}

export type ReleaseEventKind =
  | 'draft'
  | 'start'
  | 'widen'
  | 'hold'
  | 'resume'
  | 'complete'
  | 'recall'
  | 'join'
  | 'installed'
  | 'failed';

export interface ReleaseEvent {
  readonly id: string;
  readonly kind: ReleaseEventKind;
  readonly stage: number;
  readonly reason: string;
  readonly byName: string;
  readonly atMs: number;
}

export type ReleaseAnswer = 'none' | 'installed' | 'failed';

/** A car that was taken in. */
export interface ReleaseCar {
  readonly releaseId: string;
  readonly vehicleId: string;
  readonly stage: number;
  readonly takenAtMs: number;
  readonly answer: ReleaseAnswer;
  readonly answerNote: string;
  readonly answeredAtMs: number | null;
}

/** What a log says that its car ran. */
export interface StatedRevision {
  readonly logId: string;
  /** As written in the file. */
  readonly text: string;
  /** Null when the club has no such revision. */
  readonly revision: RevisionRef | null;
  readonly contentHash: string | null;
  readonly drivenAtMs: number;
}

/** A car as releases see it. */
export interface ReleasableCar {
  readonly vehicleId: string;
  readonly title: string;
  readonly ownerId: string;
  readonly ownerName: string;
  /** Empty where no mail may be sent. */
  readonly ownerEmail: string;
  readonly platformId: string;
  readonly engine: string;
  readonly tags: readonly string[];
  readonly dialectVerdict: DialectVerdict;
  readonly isDialectCleared: boolean;
  /** Observed, else declared: the one that it was cleared for. */
  readonly dialect: string | null;
  /** What is entered as installed now. */
  readonly installed: {
    readonly revision: RevisionRef;
    readonly contentHash: string;
    readonly layoutVersion: number;
    readonly sinceAtMs: number;
  } | null;
  /** Of the newest drive that says so. */
  readonly stated: StatedRevision | null;
  /** The control unit that is fitted. */
  readonly unit: {
    readonly id: string;
    readonly serial: string;
    readonly hardware: string;
    readonly firmware: string;
    readonly layoutVersion: number | null;
  } | null;
}

export interface Download {
  readonly id: string;
  readonly releaseId: string;
  readonly revision: RevisionRef;
  readonly vehicleId: string;
  readonly vehicleTitle: string;
  readonly personName: string;
  readonly contentHash: string;
  readonly fileSha256: string;
  readonly format: string;
  readonly atMs: number;
}

export interface ReleaseReads {
  /** Newest first. */
  list(filter: { readonly platformId?: string; readonly state?: ReleaseState }, page: PageRequest): Page<ListedRelease>;
  find(releaseId: string): Release | undefined;
  /** Those that took the car in, newest first. */
  ofVehicle(vehicleId: string): readonly (Release & { readonly car: ReleaseCar })[];
  /** Those that go on by themselves: running or complete. */
  listWatched(revisionId?: string): readonly Release[];
  /** The newest release of this content; undefined when it was never released. Drafts do not count. */
  findNewestOfContent(contentHash: string): Release | undefined;
  /** In the order they happened. */
  events(releaseId: string): readonly ReleaseEvent[];
  cars(releaseId: string): readonly ReleaseCar[];
  /** Newest last, at most `limit` of the newest. */
  looks(releaseId: string, limit: number): readonly ReleaseLook[];
  findLastLook(releaseId: string): ReleaseLook | undefined;
  /** Newest first. */
  downloads(of: { readonly releaseId: string } | { readonly vehicleId: string }, limit: number): readonly Download[];
  /** Cars of a platform, or the one car; in the order of their titles. */
  releasableCars(of: { readonly platformId: string } | { readonly vehicleId: string }): readonly ReleasableCar[];
  /** Another text once a car may have come into a cohort or out of one: cheap to ask, and told by every write of that. */
  cohortVersion(): string;
  /** Shifts that were driven under a revision, and by how many of the cars that a release took in. */
  evidence(releaseId: string): { readonly shifts: number; readonly vehicles: number };
  /** Cars with a drive under the revision. */
  vehiclesUnder(revisionId: string): readonly string[];
  /** What a car did drive by drive under two revisions, as the monitor takes it. */
  watchedRows(input: {
    readonly vehicleId: string;
    readonly newerId: string;
    readonly olderId: string;
  }): readonly WatchedRow[];
}

export interface ReleaseWrites {
  /** Throws `not_found`, or `platform_mismatch` for a replaced revision of another platform. Returns the id. */
  draft(input: {
    readonly actor: Actor;
    readonly revisionId: string;
    readonly replacesId: string | null;
    readonly words: string;
    readonly cohort: ReleaseCohort;
    readonly stages: readonly RolloutStage[];
    readonly harmLimit: number;
  }): string;
  /** Moves a release and adds its event. Throws `release_moved` when it is no longer where `from` says. */
  move(input: {
    readonly actor: Actor;
    readonly releaseId: string;
    readonly kind: Exclude<ReleaseEventKind, 'draft' | 'join' | 'installed' | 'failed'>;
    readonly from: { readonly state: ReleaseState; readonly stage: number };
    readonly to: { readonly state: ReleaseState; readonly stage: number };
    readonly reason: string;
  }): void;
  /** Takes cars in. `why` is the event where cars joined by themselves; null where a move has its own. */
  takeIn(input: {
    readonly actor: Actor;
    readonly releaseId: string;
    readonly stage: number;
    readonly vehicleIds: readonly string[];
    readonly joined: string | null;
  }): void;
  /** What the person of a car answered. Throws `not_found` when the release did not take the car in. */
  answer(input: {
    readonly actor: Actor;
    readonly releaseId: string;
    readonly vehicleId: string;
    readonly answer: Exclude<ReleaseAnswer, 'none'>;
    readonly note: string;
  }): void;
  keepLook(input: { readonly releaseId: string } & Omit<ReleaseLook, 'id' | 'atMs'>): void;
  recordDownload(input: {
    readonly actor: Actor;
    readonly releaseId: string;
    readonly revisionId: string;
    readonly vehicleId: string;
    readonly contentHash: string;
    readonly fileSha256: string;
    readonly format: string;
  }): void;
}
