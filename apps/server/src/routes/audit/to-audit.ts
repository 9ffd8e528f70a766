import type * as Contract from '@syncline/contract';
import type { AuditEntry, AuditFilter } from '@syncline/store';
import { toInstant } from '../format.js';

export function toAuditEntry({ atMs, before, after, ...entry }: AuditEntry): Contract.AuditEntry {
  return { ...entry, at: toInstant(atMs), before: before && { ...before }, after: after && { ...after } };
}

export function fromAuditFilter({ person, target, action, from, until }: Contract.AuditFilter): AuditFilter {
  return {
    actorId: person,
    target,
    action,
    fromMs: from === undefined ? undefined : Date.parse(from),
    untilMs: until === undefined ? undefined : Date.parse(until),
  };
}
