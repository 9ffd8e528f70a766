import { describe, expect, it } from 'vitest';
import type { NewPerson } from '../../src/index.js';
import { aClub, aSession, aTester, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

const HOUR_MS = 3_600_000;

function aPerson(overrides: Partial<NewPerson> = {}): NewPerson {
  return {
    name: 'Samphire',
    email: 'samphire@example.org',
    passwordHash: 'hash',
    session: aSession('samphire-token'),
    requestId: 'request-9',
    ...overrides,
  };
}

describe('people', () => {
  it('the set-up makes club, maintainer, sign-in and one audit entry, once', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    expect(maintainer).toMatchObject({ role: 'maintainer', name: 'Marram', createdAtMs: START_MS });
    expect(store.read.people.findSession('maintainer-token')?.person).toEqual(maintainer);
    expect(store.read.audit.list({ limit: 100 }).items.filter((entry) => entry.action === 'club.setUp')).toHaveLength(
      1,
    );
    expect(() => store.people.setUp({ ...aPerson(), clubName: 'Second' })).toThrow(
      expect.objectContaining({ code: 'setup_done' }),
    );
  });

  it('an e-mail address is one person, however it is written', () => {
    const { store } = openTestStore();
    aClub(store);
    store.people.invite({ actor: SYSTEM, role: 'tester', note: '', secretHash: 'secret', expiresAtMs: 9e15 });
    expect(store.read.people.findByEmail('Marram@Example.org')?.passwordHash).toBe('hash');
    expect(() =>
      store.people.acceptInvitation({ ...aPerson({ email: 'MARRAM@example.org' }), secretHash: 'secret' }),
    ).toThrow(expect.objectContaining({ code: 'email_taken' }));
    expect(store.read.people.findInvitation('secret')).toBeDefined();
  });

  it('never shows a password hash but to the sign-in', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    expect(maintainer).not.toHaveProperty('passwordHash');
    expect(store.read.people.find(maintainer.id)).not.toHaveProperty('passwordHash');
    expect(store.read.people.list({ limit: 5 }).items[0]).not.toHaveProperty('passwordHash');
    expect(store.read.people.findSession('maintainer-token')?.person).not.toHaveProperty('passwordHash');
  });

  it('an invitation is good once', () => {
    const { store } = openTestStore();
    aClub(store);
    aTester(store, 'samphire');
    expect(store.read.people.findInvitation('samphire')).toBeUndefined();
    expect(() => store.people.acceptInvitation({ ...aPerson(), secretHash: 'samphire' })).toThrow(
      expect.objectContaining({ code: 'invitation_invalid' }),
    );
  });

  it('an invitation runs out', () => {
    const { store, clock } = openTestStore();
    aClub(store);
    const expiresAtMs = clock.nowMs + HOUR_MS;
    store.people.invite({ actor: SYSTEM, role: 'reviewer', note: '', secretHash: 'secret', expiresAtMs });
    expect(store.read.people.findInvitation('secret')).toMatchObject({ role: 'reviewer', expiresAtMs });
    clock.nowMs = expiresAtMs;
    expect(store.read.people.findInvitation('secret')).toBeUndefined();
  });

  it.each([
    ['its idle limit', { idleExpiresAtMs: START_MS + HOUR_MS, absoluteExpiresAtMs: 9e15 }],
    ['its absolute limit, however much it is used', { idleExpiresAtMs: 9e15, absoluteExpiresAtMs: START_MS + HOUR_MS }],
  ])('a session ends at %s and is then forgotten', (_case, limits) => {
    const { store, clock } = openTestStore();
    const { maintainer } = aClub(store);
    store.people.signIn({ actor: SYSTEM, personId: maintainer.id, session: { tokenHash: 'short', ...limits } });
    clock.nowMs = START_MS + HOUR_MS - 1;
    expect(store.read.people.findSession('short')).toBeDefined();
    clock.nowMs += 1;
    expect(store.read.people.findSession('short')).toBeUndefined();
    store.people.signIn({ actor: SYSTEM, personId: maintainer.id, session: aSession('next') });
    clock.nowMs = START_MS;
    expect(store.read.people.findSession('short')).toBeUndefined();
  });

  it('use moves the idle limit on, signing out ends the session', () => {
    const { store } = openTestStore();
    aClub(store);
    store.people.touchSession('maintainer-token', 123e12);
    expect(store.read.people.findSession('maintainer-token')?.idleExpiresAtMs).toBe(123e12);
    store.people.signOut({ actor: SYSTEM, tokenHash: 'maintainer-token' });
    expect(store.read.people.findSession('maintainer-token')).toBeUndefined();
  });

  it('are listed in pages by name, capitals or not, without gaps', () => {
    const { store } = openTestStore();
    aClub(store);
    for (const name of ['thrift', 'Eelgrass', 'rocket', 'Oyster']) aTester(store, name);
    const names: string[] = [];
    for (let cursor: string | undefined; ; ) {
      const page = store.read.people.list({ cursor, limit: 2 });
      expect(page.totalCount).toBe(5);
      names.push(...page.items.map((person) => person.name));
      if (page.nextCursor === null) break;
      cursor = page.nextCursor;
    }
    expect(names).toEqual(['Eelgrass', 'Marram', 'Oyster', 'rocket', 'thrift']);
  });
});

describe('idempotency keys', () => {
  const reply = { key: 'key-1', requestHash: 'abc', status: 201, body: '{"id":1}' };

  it('give back the reply of the same person for a day', () => {
    const { store, clock } = openTestStore();
    const personId = aClub(store).maintainer.id;
    store.idempotency.keep({ ...reply, personId });
    expect(store.idempotency.find(personId, 'key-1')).toEqual({ ...reply, personId });
    expect(store.idempotency.find('another', 'key-1')).toBeUndefined();
    expect(() => store.idempotency.keep({ ...reply, personId })).toThrow(expect.objectContaining({ code: 'exists' }));
    clock.nowMs += 24 * HOUR_MS + 1;
    expect(store.idempotency.sweep()).toBe(1);
    expect(store.idempotency.find(personId, 'key-1')).toBeUndefined();
  });
});
