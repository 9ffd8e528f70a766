import type { Page, PageRequest } from '../page.js';

/** One change, written in the transaction of the change and never altered. `atMs` is UTC in milliseconds. */
export interface AuditEntry {
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
}

export interface AuditReads {
  /** Newest first. */
  list(page: PageRequest): Page<AuditEntry>;
}
