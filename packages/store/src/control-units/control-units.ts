import type { Actor, Scope } from '../actor.js';

export interface ControlUnit {
  readonly id: string;
  readonly serial: string;
  readonly platformId: string;
  readonly platformTitle: string;
  readonly hardware: string;
  /** Empty while unknown. */
  readonly firmware: string;
  /** Layout version that the firmware takes; null while unknown. */
  readonly layoutVersion: number | null;
  readonly holderId: string | null;
  readonly holderName: string | null;
  readonly vehicleId: string | null;
  readonly vehicleTitle: string | null;
  readonly fittedAtMs: number | null;
  readonly isRetired: boolean;
  readonly createdAtMs: number;
}

export interface ControlUnitEvent {
  readonly id: string;
  readonly atMs: number;
  readonly byName: string;
  readonly change: string;
  readonly note: string;
}

/** What may be altered of a unit; what is left out stays. */
export interface ControlUnitChange {
  readonly hardware?: string;
  readonly firmware?: string;
  readonly layoutVersion?: number | null;
  readonly holderId?: string | null;
  readonly vehicleId?: string | null;
  readonly isRetired?: boolean;
}

/** A call to the people who hold units of some hardware or firmware; null for any. */
export interface UnitRecall {
  readonly id: string;
  readonly hardware: string | null;
  readonly firmware: string | null;
  readonly words: string;
  readonly byName: string;
  readonly atMs: number;
}

/** Which units a recall is about. */
export type UnitMake = Pick<UnitRecall, 'hardware' | 'firmware'>;

/** A unit that is recalled, with whom to tell: who holds it, else whose car it is in. */
export interface AffectedUnit extends ControlUnit {
  readonly personId: string | null;
  readonly personName: string | null;
  /** Empty where no mail may be sent. */
  readonly personEmail: string;
}

/** An applicant who waits for a unit. */
export interface UnitWait {
  readonly applicationId: string;
  readonly name: string;
  readonly car: string;
  readonly platformId: string | null;
  readonly platformTitle: string | null;
  readonly state: 'new' | 'waiting' | 'invited' | 'declined';
  readonly sinceMs: number;
  readonly byName: string;
}

export interface ControlUnitReads {
  /** In the order of their serials; with `ownerId` those that the person holds or has in a car. */
  list(scope: Scope): readonly ControlUnit[];
  find(scope: Scope, unitId: string): ControlUnit | undefined;
  /** Newest first. */
  events(unitId: string): readonly ControlUnitEvent[];
  /** In use, not retired. */
  affected(make: UnitMake): readonly AffectedUnit[];
  /** Newest first. */
  recalls(): readonly UnitRecall[];
  /** Who waits longest first; who was declined waits no longer. */
  waits(): readonly UnitWait[];
}

export interface ControlUnitWrites {
  /** Throws `not_found` for the platform, `exists` for a serial that is known. Returns the id. */
  enter(input: {
    readonly actor: Actor;
    readonly serial: string;
    readonly platformId: string;
    readonly hardware: string;
    readonly firmware: string;
    readonly layoutVersion: number | null;
    readonly note: string;
  }): string;
  /**
   * Alters a unit and adds what changed to its history. A unit that is fitted takes the place of the one in that car. Throws
   * `not_found`, or `platform_mismatch` for a car of another platform.
   */
  change(input: {
    readonly actor: Actor;
    readonly unitId: string;
    readonly change: ControlUnitChange;
    readonly note: string;
  }): void;
  /** Returns the id. */
  recall(input: { readonly actor: Actor; readonly make: UnitMake; readonly words: string }): string;
  /** Throws `not_found` for the application. */
  setWait(input: { readonly actor: Actor; readonly applicationId: string; readonly waits: boolean }): void;
}
