import type { Page, PageRequest } from '../page.js';

/** Fields of a thing as they were or became, by name. No secrets, and cut to a bound. */
export type AuditState = Readonly<Record<string, string | number | boolean | null>>;

/** One change, written in the transaction of the change and never altered. `atMs` is UTC in milliseconds. */
export interface AuditEntry {
  /** Counts from 1 without gaps. */
  readonly id: number;
  readonly atMs: number;
  readonly actorKind: 'person' | 'token' | 'system';
  readonly actorId: string | null;
  readonly actorName: string;
  /** Area and verb, e.g. `vehicle.install`. */
  readonly action: string;
  /** What was changed, e.g. `vehicle:0198…`. */
  readonly target: string;
  /** In words, for a person to read. */
  readonly detail: string;
  readonly requestId: string;
  /** The fields that changed, as they were; null where there is no before. */
  readonly before: AuditState | null;
  readonly after: AuditState | null;
  /** SHA-256 over this entry and the hash of the one before it, in hex; see `entryHash`. */
  readonly hash: string;
}

/** Which entries are meant; what is left out narrows nothing. */
export interface AuditFilter {
  /** Id of the person who did it, with tokens of hers; `system` for the server itself. */
  readonly actorId?: string;
  /** A thing (`vehicle:0198…`), or a kind of things (`vehicle`). */
  readonly target?: string;
  /** An action (`vehicle.install`), or an area (`vehicle`). */
  readonly action?: string;
  /** From this instant on. */
  readonly fromMs?: number;
  /** Before this instant. */
  readonly untilMs?: number;
}

export interface AuditReads {
  /** Newest first. */
  list(page: PageRequest, filter?: AuditFilter): Page<AuditEntry>;
  /** Oldest first, those with an id above `afterId`: for exports and for checking, a batch at a time. */
  after(afterId: number, limit: number, filter?: AuditFilter): readonly AuditEntry[];
  /** The newest entry, whose hash stands for the whole trail; undefined before the first. */
  head(): AuditEntry | undefined;
}
