import { describe, expect, it } from 'vitest';
import type { Store } from '../../src/index.js';
import { aClub, aSession, aTester, SYSTEM } from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const HOUR_MS = 3_600_000;

function aPersonWithFactor(): { store: Store; personId: string } {
  const { store } = openTestStore();
  aClub(store);
  const personId = aTester(store, 'thrift');
  store.credentials.beginSecondFactor({ personId, secret: 'ABC' });
  store.credentials.confirmSecondFactor({
    actor: SYSTEM,
    personId,
    step: 100,
    recoveryCodeHashes: ['one', 'two'],
    keepTokenHash: 'thrift-token',
  });
  return { store, personId };
}

describe('sessions', () => {
  it('are listed with when and by what, and end one by one, only by their own person', () => {
    const { store } = openTestStore();
    aClub(store);
    const personId = aTester(store, 'thrift');
    const other = aTester(store, 'campion');
    const session = { ...aSession('second'), client: 'a browser' };
    store.people.signIn({ actor: SYSTEM, personId, session });
    const [newest] = store.read.people.listSessions(personId);
    expect(newest).toMatchObject({ client: 'a browser', startedAtMs: expect.any(Number), tokenHash: 'second' });
    const end = (by: string) => store.people.endSession({ actor: SYSTEM, personId: by, sessionId: newest.id });
    expect(() => end(other)).toThrow(expect.objectContaining({ code: 'not_found' }));
    end(personId);
    expect(store.read.people.listSessions(personId)).toHaveLength(1);
    expect(store.people.endSessions({ actor: SYSTEM, personId })).toBe(1);
    expect(store.read.people.findSession('thrift-token')).toBeUndefined();
  });

  it('of a suspended person end and do not come back with her', () => {
    const { store } = openTestStore();
    aClub(store);
    const personId = aTester(store, 'thrift');
    const suspend = (isSuspended: boolean) =>
      store.people.setSuspended({ actor: SYSTEM, personId, isSuspended, reason: 'left' });
    expect(suspend(true).suspendedAtMs).not.toBeNull();
    expect(store.read.people.findSession('thrift-token')).toBeUndefined();
    expect(suspend(false).suspendedAtMs).toBeNull();
    expect(store.read.people.findSession('thrift-token')).toBeUndefined();
    expect(store.read.audit.list({ limit: 1 }).items[0]).toMatchObject({
      action: 'person.reactivate',
      before: { isSuspended: true },
      after: { isSuspended: false },
    });
  });
});

describe('a link for a new password', () => {
  it('is good once, until it runs out or a later one takes its place, and ends every session', () => {
    const { store, clock } = openTestStore();
    aClub(store);
    const personId = aTester(store, 'thrift');
    const make = (secretHash: string) =>
      store.credentials.makeReset({ actor: SYSTEM, personId, secretHash, expiresAtMs: clock.nowMs + HOUR_MS });
    const use = (secretHash: string) =>
      store.credentials.resetPassword({ secretHash, passwordHash: 'new', requestId: 'r' });
    make('first');
    make('second');
    expect(() => use('first')).toThrow(expect.objectContaining({ code: 'reset_invalid' }));
    expect(use('second').id).toBe(personId);
    expect(store.read.credentials.findPasswordHash(personId)).toBe('new');
    expect(store.read.people.listSessions(personId)).toEqual([]);
    expect(() => use('second')).toThrow(expect.objectContaining({ code: 'reset_invalid' }));
    make('third');
    clock.nowMs += HOUR_MS;
    expect(() => use('third')).toThrow(expect.objectContaining({ code: 'reset_invalid' }));
  });

  it('is useless once the person has chosen another password herself', () => {
    const { store } = openTestStore();
    aClub(store);
    const personId = aTester(store, 'thrift');
    store.credentials.makeReset({ actor: SYSTEM, personId, secretHash: 'link', expiresAtMs: 8e15 });
    store.credentials.changePassword({ actor: SYSTEM, personId, passwordHash: 'own', keepTokenHash: 'thrift-token' });
    expect(store.read.credentials.findReset('link')).toBeUndefined();
    expect(store.read.people.listSessions(personId)).toHaveLength(1);
  });
});

describe('a second factor', () => {
  it('counts only once it is confirmed', () => {
    const { store } = openTestStore();
    aClub(store);
    const personId = aTester(store, 'thrift');
    store.credentials.beginSecondFactor({ personId, secret: 'ABC' });
    expect(store.read.people.find(personId)?.hasSecondFactor).toBe(false);
    const confirmed = aPersonWithFactor();
    expect(confirmed.store.read.people.find(confirmed.personId)?.hasSecondFactor).toBe(true);
    expect(() => confirmed.store.credentials.beginSecondFactor({ personId: confirmed.personId, secret: 'D' })).toThrow(
      expect.objectContaining({ code: 'exists' }),
    );
  });

  // RFC 6238, 5.2: the verifier must not accept the second attempt of the same code.
  it.each([
    [100, false],
    [99, false],
    [101, true],
  ])('whose step 100 was taken takes step %i: %s', (step, isTaken) => {
    const { store, personId } = aPersonWithFactor();
    expect(store.credentials.takeStep(personId, step)).toBe(isTaken);
    expect(store.credentials.takeStep(personId, step)).toBe(false);
  });

  it('takes each recovery code once, of its own person alone', () => {
    const { store, personId } = aPersonWithFactor();
    const take = (by: string, codeHash: string) =>
      store.credentials.takeRecoveryCode({ actor: SYSTEM, personId: by, codeHash });
    expect(take('another', 'one')).toBe(false);
    expect(take(personId, 'one')).toBe(true);
    expect(take(personId, 'one')).toBe(false);
    expect(store.read.credentials.countRecoveryCodes(personId)).toBe(1);
  });

  it('goes with its recovery codes', () => {
    const { store, personId } = aPersonWithFactor();
    store.credentials.removeSecondFactor({ actor: SYSTEM, personId });
    expect(store.read.credentials.countRecoveryCodes(personId)).toBe(0);
    expect(() => store.credentials.removeSecondFactor({ actor: SYSTEM, personId })).toThrow(
      expect.objectContaining({ code: 'not_found' }),
    );
  });
});
