import type * as Contract from '@syncline/contract';
import type { AuditEntry, Invitation, Person } from '@syncline/store';
import type { OwnSession } from '../../services/people.js';
import { toInstant } from '../format.js';

export function toPerson(person: Person): Contract.Person {
  const { id, name, email, role, createdAtMs } = person;
  return { id, name, email, role, createdAt: toInstant(createdAtMs) };
}

export function toSession({ person, clubName, expiresAtMs }: OwnSession): Contract.Session {
  return { person: toPerson(person), clubName, expiresAt: toInstant(expiresAtMs) };
}

export function toInvitation(invitation: Invitation & { readonly path: string }): Contract.Invitation {
  const { id, role, note, path, expiresAtMs } = invitation;
  return { id, role, note, path, expiresAt: toInstant(expiresAtMs) };
}

/** What the holder of a link is shown before accepting. */
export function toInvitationState({ role, clubName, expiresAtMs }: Invitation & { readonly clubName: string }) {
  return { role, clubName, expiresAt: toInstant(expiresAtMs) };
}

export function toAuditEntry({ id, atMs, actorName, action, target, detail, requestId }: AuditEntry) {
  return { id, at: toInstant(atMs), actorName, action, target, detail, requestId };
}
