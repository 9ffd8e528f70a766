import { createHash } from 'node:crypto';
import { cpSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it, onTestFinished } from 'vitest';
import { boundedState, changedFields } from '../../src/audit/bounded-state.js';
import { CHAIN_START } from '../../src/audit/chain.js';
import { connectForWriting } from '../../src/database/connect.js';
import { migrate } from '../../src/database/migrate.js';
import { type AuditEntry, ChainCheck, openStore, type Store } from '../../src/index.js';
import { aClub, aTester, SYSTEM } from '../support/builders.js';
import { openTestStore, temporaryFolder } from '../support/test-store.js';

function check(entries: Iterable<AuditEntry>) {
  const chain = new ChainCheck();
  chain.take(entries);
  return chain.verdict();
}

const all = (store: Store) => [...store.read.audit.after(0, 1000)];

/** A copy of the migrations up to one, that one left out. */
function migrationsBefore(tag: string): string {
  const folder = temporaryFolder();
  cpSync(fileURLToPath(new URL('../../../../migrations', import.meta.url)), folder, { recursive: true });
  const path = join(folder, 'meta', '_journal.json');
  const journal = JSON.parse(readFileSync(path, 'utf8')) as { entries: { tag: string }[] };
  const entries = journal.entries.slice(
    0,
    journal.entries.findIndex((entry) => entry.tag === tag),
  );
  writeFileSync(path, JSON.stringify({ ...journal, entries }));
  return folder;
}

function storeWithEntries(): Store {
  const { store } = openTestStore();
  aClub(store);
  for (const name of ['thrift', 'campion', 'samphire']) aTester(store, name);
  return store;
}

describe('the chain of the audit trail', () => {
  it('is whole as the store writes it, and its head is the newest entry', () => {
    const store = storeWithEntries();
    const entries = all(store);
    expect(entries.length).toBeGreaterThan(5);
    const headHash = store.read.audit.head()?.hash;
    expect(check(entries)).toEqual({ kind: 'whole', entryCount: entries.length, headHash });
  });

  // RFC 8785: keys sorted by code unit, no white space; the text is written out here, past the code under test.
  it('takes each hash over the canonical text of the hash before and the entry', () => {
    const store = storeWithEntries();
    const [{ hash, ...first }] = all(store);
    expect(first.before).toBeNull();
    const members = Object.entries(first)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([name, value]) => `${JSON.stringify(name)}:${JSON.stringify(value)}`);
    const text = `{"entry":{${members.join(',')}},"previous":"${CHAIN_START}"}`;
    expect(hash).toBe(createHash('sha256').update(text).digest('hex'));
  });

  it('names the first entry that was changed, whichever it is and whatever of it', () => {
    const entries = all(storeWithEntries());
    const fields = ['atMs', 'actorName', 'action', 'target', 'detail', 'requestId', 'after', 'hash'] as const;
    fc.assert(
      fc.property(fc.nat(entries.length - 1), fc.constantFrom(...fields), (at, field) => {
        const forged = entries.map((entry, i) => {
          if (i !== at) return entry;
          const value = field === 'atMs' ? entry.atMs + 1 : field === 'after' ? { forged: true } : 'forged';
          return { ...entry, [field]: value };
        });
        expect(check(forged)).toMatchObject({ kind: 'broken', entryCount: at, entryId: entries[at].id });
      }),
    );
  });

  it('names the entry behind one that is gone', () => {
    const entries = all(storeWithEntries());
    fc.assert(
      fc.property(fc.nat(entries.length - 2), (at) => {
        const cut = entries.filter((_, i) => i !== at);
        expect(check(cut)).toMatchObject({ kind: 'broken', entryCount: at, entryId: entries[at + 1].id });
      }),
    );
  });

  it('gives the same verdict in any cut into batches', () => {
    const entries = all(storeWithEntries());
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 7 }), (size) => {
        const chain = new ChainCheck();
        for (let i = 0; i < entries.length; i += size) chain.take(entries.slice(i, i + size));
        expect(chain.verdict()).toEqual(check(entries));
      }),
    );
  });

  it('begins with the entries of a database from before it, whose sign-ins go on', () => {
    const folder = temporaryFolder();
    const sqlite = connectForWriting(join(folder, 'syncline.db'));
    migrate(sqlite, { folder: migrationsBefore('0017_accounts'), now: 0 });
    sqlite.exec(`
      INSERT INTO people VALUES ('p', 'Marram', 'marram@example.org', 'maintainer', 'hash', 1);
      INSERT INTO sessions (token_hash, person_id, started_at_ms, idle_expires_at_ms, absolute_expires_at_ms)
        VALUES ('t', 'p', 1, 9000, 9000);
      INSERT INTO audit (at_ms, actor_kind, actor_id, actor_name, action, target, detail, request_id)
        VALUES (1, 'person', 'p', 'Marram', 'club.setUp', 'person:p', 'set up', 'r1'),
          (2, 'system', NULL, 'server', 'application.sweep', 'club', 'swept', 'r2');
    `);
    sqlite.close();
    const store = openStore({ folder, clock: () => 5, ids: () => 'id' });
    onTestFinished(() => store.close());
    const entries = all(store);
    expect(check(entries)).toMatchObject({ kind: 'whole', entryCount: 2 });
    expect(entries[1]).toMatchObject({ actorId: null, before: null, after: null, detail: 'swept' });
    const [session] = store.read.people.listSessions('p');
    expect(session).toMatchObject({ id: expect.stringMatching(/^[0-9a-f]{32}$/), lastUsedAtMs: null });
    expect(store.read.people.find('p')).toMatchObject({ consentVersion: 0, suspendedAtMs: null });
  });

  it('takes in the entries of an earlier program when the store opens, and is the same each time', () => {
    const { store, folder } = openTestStore();
    aClub(store);
    aTester(store, 'thrift');
    const chained = all(store);
    store.close();
    const sqlite = connectForWriting(join(folder, 'syncline.db'));
    sqlite.exec('DROP TRIGGER audit_no_new_hash');
    sqlite.exec(`UPDATE audit SET hash = ''`);
    sqlite.close();
    const reopened = openStore({ folder, clock: () => 0, ids: () => 'id' });
    onTestFinished(() => reopened.close());
    expect(all(reopened)).toEqual(chained);
  });

  it('holds text that has no place in UTF-8 without breaking', () => {
    const { store } = openTestStore();
    aClub(store);
    const actor = { ...SYSTEM, name: 'half a pair \ud83d' };
    store.people.invite({ actor, role: 'tester', note: '\udc00', secretHash: 's', expiresAtMs: 9e15 });
    expect(check(all(store)).kind).toBe('whole');
  });
});

describe('before and after', () => {
  it('keep the fields that differ alone', () => {
    const before = boundedState({ title: 'Blue van', massKg: 2100 });
    const after = boundedState({ title: 'Red van', massKg: 2100, note: 'painted' });
    expect(changedFields(before, after)).toEqual({
      before: { title: 'Blue van' },
      after: { title: 'Red van', note: 'painted' },
    });
  });

  it.each(['passwordHash', 'secret', 'secretHash', 'tokenHash', 'codeHash'])('never keep %s', (name) => {
    expect(boundedState({ [name]: 'x', title: 'kept' })).toEqual({ title: 'kept' });
  });

  it('stay within a bound whatever is handed in', () => {
    fc.assert(
      fc.property(fc.dictionary(fc.string(), fc.anything({ maxDepth: 2 }), { maxKeys: 80 }), (fields) => {
        const state = boundedState(JSON.parse(JSON.stringify(fields)));
        expect(Object.keys(state).length).toBeLessThanOrEqual(40);
        for (const value of Object.values(state)) expect(String(value).length).toBeLessThan(540);
      }),
    );
    expect(boundedState({ text: 'x'.repeat(501) }).text).toBe(`${'x'.repeat(500)}… (501 characters)`);
  });
});

describe('the list of entries', () => {
  it('is narrowed by person, subject, action and time', () => {
    const { store, clock } = openTestStore();
    const { maintainer } = aClub(store);
    clock.nowMs += 1000;
    const thrift = aTester(store, 'thrift');
    const list = (filter: Parameters<typeof store.read.audit.list>[1]) =>
      store.read.audit.list({ limit: 100 }, filter).items.map((entry) => entry.action);
    expect(list({ actorId: thrift })).toEqual(['person.join']);
    expect(list({ target: `person:${maintainer.id}` })).toEqual(['club.setUp']);
    expect(new Set(list({ target: 'person' }))).toEqual(new Set(['person.join', 'club.setUp']));
    expect(list({ action: 'person' })).toEqual(['person.join', 'person.invite']);
    expect(list({ action: 'person.invite' })).toEqual(['person.invite']);
    expect(list({ action: 'pers' })).toEqual([]);
    expect(list({ fromMs: clock.nowMs })).toEqual(['person.join', 'person.invite']);
    expect(list({ untilMs: clock.nowMs })).not.toContain('person.join');
    expect(list({ actorId: 'system', action: 'person' })).toEqual(['person.invite']);
  });
});
