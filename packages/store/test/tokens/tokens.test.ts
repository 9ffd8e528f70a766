import { describe, expect, it } from 'vitest';
import type { Store } from '../../src/index.js';
import { aClub, aTester, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

function aToken(store: Store, personId: string, overrides: { tokenHash?: string; expiresAtMs?: number } = {}) {
  return store.tokens.make({
    actor: SYSTEM,
    personId,
    name: 'box in the van',
    scopes: ['upload', 'read'],
    tokenHash: 'hash-1',
    expiresAtMs: START_MS + 1000,
    ...overrides,
  });
}

describe('a token', () => {
  it('is found by the hash of its secret, with its person, until its end', () => {
    const { store, clock } = openTestStore();
    const { maintainer } = aClub(store);
    const token = aToken(store, maintainer.id);
    expect(store.read.tokens.findByHash('hash-1')).toEqual({ ...token, person: maintainer });
    expect(store.read.tokens.findByHash('hash-2')).toBeUndefined();
    clock.nowMs = START_MS + 1000;
    expect(store.read.tokens.findByHash('hash-1')).toBeUndefined();
    expect(store.read.tokens.listOf(maintainer.id)).toEqual([token]);
  });

  it('shows neither its hash nor the password of its person', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    aToken(store, maintainer.id);
    const shown = JSON.stringify([
      store.read.tokens.findByHash('hash-1'),
      store.read.tokens.listOf(maintainer.id),
      store.read.tokens.list(),
    ]);
    expect(shown).not.toMatch(/hash/i);
  });

  it('notes when it was last used', () => {
    const { store, clock } = openTestStore();
    const { id } = aToken(store, aClub(store).maintainer.id);
    clock.nowMs += 500;
    store.tokens.touch(id);
    expect(store.read.tokens.findByHash('hash-1')?.lastUsedAtMs).toBe(START_MS + 500);
  });

  it('is revoked by its owner or by whoever may revoke all, and nobody else', () => {
    const { store } = openTestStore();
    const { maintainer } = aClub(store);
    const thrift = aTester(store, 'thrift');
    const [first, second] = [aToken(store, thrift), aToken(store, thrift, { tokenHash: 'hash-2' })];
    expect(store.read.tokens.list().map(({ id, personName }) => [id, personName])).toEqual([
      [second.id, 'thrift'],
      [first.id, 'thrift'],
    ]);
    const revoke = (tokenId: string, ownerId?: string) => store.tokens.revoke({ actor: SYSTEM, tokenId, ownerId });
    expect(() => revoke(first.id, maintainer.id)).toThrow(expect.objectContaining({ code: 'not_found' }));
    revoke(first.id, thrift);
    revoke(second.id);
    expect(store.read.tokens.list()).toEqual([]);
    expect(() => revoke(second.id)).toThrow(expect.objectContaining({ code: 'not_found' }));
    const actions = store.read.audit.list({ limit: 10 }).items.map(({ action }) => action);
    expect(actions.slice(0, 4)).toEqual(['token.revoke', 'token.revoke', 'token.make', 'token.make']);
  });
});
