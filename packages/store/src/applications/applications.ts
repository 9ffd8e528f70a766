import type { Actor } from '../actor.js';
import type { Page, PageRequest } from '../page.js';

export type ApplicationState = 'new' | 'waiting' | 'invited' | 'declined';

/** What an applicant says. */
export interface ApplicationContent {
  readonly name: string;
  /** Lower case. */
  readonly email: string;
  readonly car: string;
  readonly engine: string;
  readonly gearboxLabel: string;
  readonly platformId: string | null;
  readonly dialect: string | null;
  readonly place: string;
  readonly climates: readonly ('frost' | 'mild' | 'heat' | 'mountains')[];
  readonly yearlyKm: number | null;
  readonly logger: string;
  readonly consentVersion: number;
}

export interface Application extends ApplicationContent {
  readonly id: string;
  readonly state: ApplicationState;
  readonly platformTitle: string | null;
  readonly receivedAtMs: number;
  readonly decidedByName: string | null;
  readonly decidedAtMs: number | null;
  readonly note: string;
  /** Other applications from this e-mail address. */
  readonly sameAddress: number;
}

export interface Recruitment {
  readonly isOpen: boolean;
  readonly callText: string;
  readonly changedByName: string;
  readonly changedAtMs: number;
}

export interface ApplicationReads {
  /** Newest first. */
  list(
    filter: { readonly state?: ApplicationState; readonly platformId?: string },
    page: PageRequest,
  ): Page<Application>;
  find(applicationId: string): Application | undefined;
  /** How many wait for a first answer. */
  countNew(): number;
  /** Undefined until somebody has set it. */
  findRecruitment(): Recruitment | undefined;
}

/** No entry of the audit trail says who has applied: the trail is kept for good, an application is not. */
export interface ApplicationWrites {
  setRecruitment(input: { readonly actor: Actor; readonly isOpen: boolean; readonly callText: string }): void;
  /** Throws `not_found` for the platform. */
  receive(input: { readonly actor: Actor; readonly content: ApplicationContent }): void;
  /** Throws `not_found`. */
  decide(input: {
    readonly actor: Actor;
    readonly applicationId: string;
    readonly state: 'waiting' | 'declined';
    readonly note: string;
  }): void;
  /** Notes the invitation that was made for it; the entry of the trail is that of the invitation. Throws `not_found`. */
  noteInvitation(input: { readonly actor: Actor; readonly applicationId: string; readonly invitationId: string }): void;
  /** Removes what the applicant said. Throws `not_found`. */
  remove(input: { readonly actor: Actor; readonly applicationId: string }): void;
  /** Removes those declined before an instant. Returns how many. */
  sweepDeclined(input: { readonly actor: Actor; readonly beforeMs: number }): number;
}
