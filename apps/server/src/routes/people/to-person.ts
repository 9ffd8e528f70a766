import type * as Contract from '@syncline/contract';
import type { Invitation, Person } from '@syncline/store';
import type { OwnSession, PeopleService } from '../../services/people.js';
import type { SecondFactorService } from '../../services/sign-in/second-factor.js';
import { toInstant, toInstantOrNull } from '../format.js';

export function toPerson(person: Person): Contract.Person {
  const {
    id,
    name,
    email,
    role,
    createdAtMs,
    suspendedAtMs,
    consentVersion,
    consentAtMs,
    hasSecondFactor,
    erasedAtMs,
  } = person;
  return {
    id,
    name,
    email,
    role,
    createdAt: toInstant(createdAtMs),
    suspendedAt: toInstantOrNull(suspendedAtMs),
    consentVersion,
    consentAt: toInstantOrNull(consentAtMs),
    hasSecondFactor,
    erasedAt: toInstantOrNull(erasedAtMs),
  };
}

export function toSession({ person, clubName, expiresAtMs, needs }: OwnSession): Contract.Session {
  return { person: toPerson(person), clubName, expiresAt: toInstant(expiresAtMs), needs };
}

type ListedSession = ReturnType<PeopleService['listSessions']>[number];

export function toOwnSession({ id, client, isCurrent, ...session }: ListedSession): Contract.OwnSession {
  return {
    id,
    startedAt: toInstant(session.startedAtMs),
    lastUsedAt: toInstantOrNull(session.lastUsedAtMs),
    expiresAt: toInstant(Math.min(session.idleExpiresAtMs, session.absoluteExpiresAtMs)),
    client,
    isCurrent,
  };
}

type FactorState = ReturnType<SecondFactorService['state']>;

export function toSecondFactorState({ sinceMs, ...state }: FactorState): Contract.SecondFactorState {
  return { isOn: sinceMs !== null, since: toInstantOrNull(sinceMs), ...state };
}

export function toInvitation(invitation: Invitation & { readonly path: string }): Contract.Invitation {
  const { id, role, note, path, expiresAtMs } = invitation;
  return { id, role, note, path, expiresAt: toInstant(expiresAtMs) };
}

/** What the holder of a link is shown before accepting. */
export function toInvitationState({ role, clubName, expiresAtMs }: Invitation & { readonly clubName: string }) {
  return { role, clubName, expiresAt: toInstant(expiresAtMs) };
}
