import type { Actor, Scope } from '../actor.js';
import type { RevisionRef } from '../calibrations/calibrations.js';
import type { Page, PageRequest } from '../page.js';
import type { DialectVerdict } from '../vehicles/vehicles.js';

export type RequestState = 'open' | 'met' | 'withdrawn' | 'expired';
export type RequestCarState = 'asked' | 'declined' | 'met';

/** What was known of the point when it was asked: shares from 0 to 1, as `driveGain` of the fleet package has them. */
export interface RequestReason {
  readonly shifts: number;
  readonly vehicles: number;
  readonly missingDialects: readonly string[];
  readonly rate: number;
  readonly widthNow: number;
  readonly widthAfter: number;
  readonly usageShare: number;
  readonly probabilityAbove: number;
  readonly gain: number;
}

/** What is asked. */
export interface RequestedDrive {
  readonly platformId: string;
  readonly revisionId: string | null;
  readonly kind: string;
  readonly loadBand: number;
  readonly fluidTemperatureBand: number;
  readonly program: string | null;
  readonly wantedShifts: number;
  readonly wantedVehicles: number;
  readonly words: string;
  readonly reason: RequestReason;
}

export interface RequestCar {
  readonly vehicleId: string;
  readonly title: string;
  readonly ownerId: string;
  readonly ownerName: string;
  readonly state: RequestCarState;
  readonly reason: string;
  readonly answeredAtMs: number | null;
}

export interface DriveRequest extends Omit<RequestedDrive, 'revisionId'> {
  readonly id: string;
  readonly platformTitle: string;
  readonly revision: RevisionRef | null;
  readonly state: RequestState;
  readonly createdByName: string;
  readonly createdAtMs: number;
  readonly expiresAtMs: number;
  readonly closedAtMs: number | null;
  readonly closedByName: string | null;
  readonly closingNote: string;
  /** Those in scope, in the order of their titles. */
  readonly cars: readonly RequestCar[];
  /** What any car of the platform brought since: counted while it is open, as it was at its end after that. */
  readonly brought: readonly BroughtShifts[];
}

export interface BroughtShifts {
  readonly vehicleId: string;
  readonly shifts: number;
}

/** What decides whether a car is worth asking, beside what it has driven. */
export interface AskableCar {
  readonly vehicleId: string;
  readonly title: string;
  readonly ownerName: string;
  readonly platformId: string;
  readonly engine: string;
  readonly declaredDialect: string | null;
  readonly observedDialect: string | null;
  readonly dialectVerdict: DialectVerdict;
  readonly isDialectCleared: boolean;
  readonly revision: RevisionRef | null;
  readonly lastDrivenAtMs: number | null;
  /** Requests that are open and not declined. */
  readonly openRequests: number;
}

export interface RequestReads {
  /** Newest first. With an owner in scope only requests to a car of hers. */
  list(
    scope: Scope,
    filter: { readonly platformId?: string; readonly state?: RequestState },
    page: PageRequest,
  ): Page<DriveRequest>;
  find(scope: Scope, requestId: string): DriveRequest | undefined;
  /** Every open one, oldest first. */
  listOpen(): readonly DriveRequest[];
  /** Every car, of one platform or of all, in the order of their titles. */
  cars(filter: { readonly platformId?: string }): readonly AskableCar[];
}

export interface RequestWrites {
  /** Returns the id. Throws `not_found` for platform, revision or a car, `platform_mismatch` for those of another one. */
  send(input: {
    readonly actor: Actor;
    readonly drive: RequestedDrive;
    readonly vehicleIds: readonly string[];
    readonly expiresAtMs: number;
  }): string;
  /** Ends an open request: withdrawn by a person, met or expired by the system. Throws `not_found`, `request_closed`. */
  close(input: {
    readonly actor: Actor;
    readonly requestId: string;
    readonly state: Exclude<RequestState, 'open'>;
    readonly note: string;
  }): void;
  /** What the owner of a car says to an open request. Throws `not_found`, `request_closed`. */
  answer(input: {
    readonly actor: Actor;
    readonly scope: Scope;
    readonly requestId: string;
    readonly vehicleId: string;
    readonly state: 'asked' | 'declined';
    readonly reason: string;
  }): void;
  /** Notes that a car has brought its share; nothing when it is noted already. Not audited: the drives are. */
  noteMet(requestId: string, vehicleId: string): void;
}
