import type { BusSignal, DialectProfile } from '@syncline/drivelog';
import type { Actor } from '../actor.js';
import type { NewJob } from '../jobs/jobs.js';

/** Who entered a version of something, and when. */
interface Entered {
  readonly version: number;
  readonly createdAtMs: number;
  readonly byName: string;
}

/** How the frames of a dialect are read. */
export interface StoredSignalList extends Entered {
  readonly signals: readonly BusSignal[];
}

/** How the bus of a dialect is spoken. */
export interface StoredProfile extends Entered {
  readonly profile: DialectProfile;
  /** Captures that it was learned from; empty when it was entered. */
  readonly captureIds: readonly string[];
}

export interface DialectReads {
  /** The newest. */
  findSignalList(platformId: string, dialectId: string): StoredSignalList | undefined;
  /** The newest version of each dialect that has a list, by its id. */
  signalListVersions(platformId: string): Readonly<Record<string, number>>;
  /** The newest. */
  findProfile(platformId: string, dialectId: string): StoredProfile | undefined;
  /** The newest profile of each dialect that has one. */
  listProfiles(platformId: string): readonly StoredProfile[];
}

export interface DialectWrites {
  /** Adds a bus dialect to those that cars of the platform may speak. Throws `not_found` or `exists`. */
  add(input: {
    readonly actor: Actor;
    readonly platformId: string;
    readonly dialect: { readonly id: string; readonly title: string };
  }): void;
  /**
   * Becomes the next version; the platform's captures in `awaitingMap`, `failed` or `refused` are queued again in the
   * same transaction. Returns the ids of their logs. Throws `not_found`.
   */
  addSignalList(input: {
    readonly actor: Actor;
    readonly platformId: string;
    readonly dialectId: string;
    readonly signals: readonly BusSignal[];
    readonly jobFor: (logId: string, ownerId: string) => NewJob;
  }): readonly string[];
  /** Becomes the next version; the job that `jobFor` names is queued in the same transaction. Throws `not_found`. */
  addProfile(input: {
    readonly actor: Actor;
    readonly platformId: string;
    readonly profile: DialectProfile;
    readonly captureIds: readonly string[];
    readonly jobFor: (version: number) => NewJob;
  }): void;
}
