import type { Actor } from '../actor.js';
import type { Person } from '../people/people.js';

/** The authenticator app of a person. */
export interface SecondFactor {
  /** Base32. */
  readonly secret: string;
  /** Null until a first code proved that the app has the secret; until then it is not asked for. */
  readonly confirmedAtMs: number | null;
  /** Time step of the code that was taken last. */
  readonly lastStep: number | null;
}

/** Who somebody is at an OpenID provider. */
export interface OpenIdSubject {
  readonly issuer: string;
  readonly subject: string;
}

export interface CredentialReads {
  /** For checking the password; undefined for who has none. */
  findPasswordHash(personId: string): string | undefined;
  findSecondFactor(personId: string): SecondFactor | undefined;
  countRecoveryCodes(personId: string): number;
  /** Whose new password a link is for; undefined when unknown, used, expired or replaced by a later one. */
  findReset(secretHash: string): { readonly person: Person; readonly expiresAtMs: number } | undefined;
  findByOpenId(subject: OpenIdSubject): Person | undefined;
}

export interface CredentialWrites {
  /** Ends every session but the one named. Throws `not_found`. */
  changePassword(input: {
    readonly actor: Actor;
    readonly personId: string;
    readonly passwordHash: string;
    readonly keepTokenHash: string;
  }): void;
  /** Makes the links before it useless. Throws `not_found`. */
  makeReset(input: {
    readonly actor: Actor;
    readonly personId: string;
    readonly secretHash: string;
    readonly expiresAtMs: number;
  }): void;
  /** Uses the link up and ends every session of its person. Throws `reset_invalid`. */
  resetPassword(input: {
    readonly secretHash: string;
    readonly passwordHash: string;
    readonly requestId: string;
  }): Person;
  /** Keeps a secret that is yet to be confirmed; takes the place of one that never was. Throws `exists`. */
  beginSecondFactor(input: { readonly personId: string; readonly secret: string }): void;
  /** From now on it is asked for; other sessions end. Throws `not_found` when nothing waits to be confirmed. */
  confirmSecondFactor(input: {
    readonly actor: Actor;
    readonly personId: string;
    readonly step: number;
    readonly recoveryCodeHashes: readonly string[];
    readonly keepTokenHash: string;
  }): void;
  /** Takes the code of a time step unless that step or a later one was taken before; says whether it was. */
  takeStep(personId: string, step: number): boolean;
  /** Uses a recovery code up; says whether there was one. */
  takeRecoveryCode(input: { readonly actor: Actor; readonly personId: string; readonly codeHash: string }): boolean;
  /** The codes before are good no more. */
  replaceRecoveryCodes(input: {
    readonly actor: Actor;
    readonly personId: string;
    readonly codeHashes: readonly string[];
  }): void;
  /** Also forgets the recovery codes. Throws `not_found` when there is none. */
  removeSecondFactor(input: { readonly actor: Actor; readonly personId: string }): void;
  linkOpenId(input: OpenIdSubject & { readonly actor: Actor; readonly personId: string }): void;
}
