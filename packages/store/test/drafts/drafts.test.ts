import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { connectForWriting } from '../../src/database/connect.js';
import type { Actor, Store } from '../../src/index.js';
import { aClub, aContent, aRevision, aTester, canonical, SYSTEM } from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const LEASE_MS = 120_000;
const refusal = (code: string) => expect.objectContaining({ code });

/** A club with a draft from its revision, and two who may edit it. */
function aDraft() {
  const test = openTestStore();
  const { store } = test;
  const { maintainer, calibrationId, revisionId } = aClub(store);
  const eryngo = personActor(maintainer.id, maintainer.name);
  const thrift = personActor(aTester(store, 'Thrift'), 'Thrift');
  const draftId = begin(store, eryngo, { calibrationId, parentId: revisionId });
  return { ...test, calibrationId, revisionId, eryngo, thrift, draftId };
}

function personActor(id: string, name: string): Actor {
  return { kind: 'person', id, name, requestId: 'request-3' };
}

function begin(
  store: Store,
  actor: Actor,
  input: { calibrationId: string; parentId: string | null; line?: string; value?: number },
): string {
  const { value = 100, ...rest } = input;
  return store.drafts.create({
    actor,
    title: 'softer',
    origin: 'edit',
    originNote: '',
    layoutVersion: 1,
    canonicalJson: canonical(aContent(value)),
    changedCells: 0,
    ...rest,
  });
}

function save(store: Store, actor: Actor, draftId: string, version: number, value: number): number {
  const canonicalJson = canonical(aContent(value));
  return store.drafts.save({ actor, draftId, version, canonicalJson, changedCells: 1 });
}

function make(store: Store, actor: Actor, draftId: string): string {
  const contentHash = store.read.drafts.find(draftId)?.contentHash ?? '';
  return store.drafts.make({ actor, draftId, contentHash, message: 'softer' });
}

const actions = (store: Store) => store.read.audit.list({ limit: 100 }).items.map((entry) => entry.action);

describe('a draft', () => {
  it('begins as its parent is, on the line of its parent, edited by nobody', () => {
    const { store, draftId, revisionId, calibrationId } = aDraft();
    expect(store.read.drafts.find(draftId)).toMatchObject({
      parentId: revisionId,
      parentNumber: 1,
      line: 'main',
      version: 1,
      state: 'open',
      lock: null,
      contentHash: store.read.calibrations.findRevision(revisionId)?.contentHash,
    });
    expect(store.read.drafts.listOpen(calibrationId).map(({ id }) => id)).toEqual([draftId]);
  });

  it('rises in version with each save of other content, and is told that another one came between', () => {
    const { store, draftId, eryngo } = aDraft();
    expect(save(store, eryngo, draftId, 1, 101)).toBe(2);
    expect(save(store, eryngo, draftId, 2, 101)).toBe(2);
    expect(() => save(store, eryngo, draftId, 1, 102)).toThrow(refusal('draft_outdated'));
    expect(store.read.drafts.findContent(draftId)?.content).toEqual(aContent(101));
  });

  it('does not fill the audit trail while it is saved', () => {
    const { store, draftId, eryngo } = aDraft();
    const before = actions(store);
    for (let version = 1; version < 20; version++) save(store, eryngo, draftId, version, 100 + version);
    expect(actions(store)).toEqual(before);
  });

  it('keeps the newest hundred saves, each of which can be gone back to', () => {
    const { store, draftId, eryngo } = aDraft();
    for (let version = 1; version <= 120; version++) save(store, eryngo, draftId, version, 1000 + version);
    const saves = store.read.drafts.listSaves(draftId).map(({ version }) => version);
    expect(saves).toEqual(Array.from({ length: 100 }, (_, i) => 121 - i));
    expect(store.read.drafts.findSavedContent(draftId, 22)).toEqual(aContent(1021));
    const gone = { actor: eryngo, draftId, version: 121, from: 21, changedCells: 1 };
    expect(() => store.drafts.restore(gone)).toThrow(refusal('not_found'));
    expect(store.drafts.restore({ ...gone, from: 22 })).toBe(122);
    expect(store.read.drafts.findContent(draftId)?.content).toEqual(aContent(1021));
    expect(actions(store)[0]).toBe('draft.restore');
  });
});

describe('the lease of a draft', () => {
  it('is taken by a save, keeps others out, and lapses two minutes after the last sign of life', () => {
    const { store, clock, draftId, eryngo, thrift } = aDraft();
    save(store, eryngo, draftId, 1, 101);
    expect(store.read.drafts.find(draftId)?.lock).toMatchObject({ personId: eryngo.id, personName: eryngo.name });
    expect(() => save(store, thrift, draftId, 2, 102)).toThrow(refusal('draft_locked'));
    clock.nowMs += LEASE_MS - 1;
    store.drafts.lock({ actor: eryngo, draftId, isTakeOver: false });
    clock.nowMs += LEASE_MS - 1;
    expect(() => save(store, thrift, draftId, 2, 102)).toThrow(refusal('draft_locked'));
    clock.nowMs += 1;
    expect(store.read.drafts.find(draftId)?.lock).toBeNull();
    expect(save(store, thrift, draftId, 2, 102)).toBe(3);
  });

  it('can be taken over, which is audited, and who lost it is told at the next save', () => {
    const { store, draftId, eryngo, thrift } = aDraft();
    save(store, eryngo, draftId, 1, 101);
    expect(() => store.drafts.lock({ actor: thrift, draftId, isTakeOver: false })).toThrow(refusal('draft_locked'));
    store.drafts.lock({ actor: thrift, draftId, isTakeOver: true });
    expect(store.read.audit.list({ limit: 1 }).items[0]).toMatchObject({
      action: 'draft.takeOver',
      target: `draft:${draftId}`,
      detail: `softer, from ${eryngo.name}`,
    });
    expect(() => save(store, eryngo, draftId, 2, 103)).toThrow(refusal('draft_locked'));
  });

  it('is given back by its holder only', () => {
    const { store, draftId, eryngo, thrift } = aDraft();
    store.drafts.lock({ actor: eryngo, draftId, isTakeOver: false });
    store.drafts.release({ actor: thrift, draftId });
    expect(store.read.drafts.find(draftId)?.lock).not.toBeNull();
    store.drafts.release({ actor: eryngo, draftId });
    expect(store.read.drafts.find(draftId)?.lock).toBeNull();
  });

  it.each<[string, (store: Store, actor: Actor, draftId: string) => unknown]>([
    ['discarding', (store, actor, draftId) => store.drafts.discard({ actor, draftId })],
    ['renaming', (store, actor, draftId) => store.drafts.rename({ actor, draftId, title: 'x' })],
    ['making a revision', (store, actor, draftId) => make(store, actor, draftId)],
  ])('keeps others from %s', (_, act) => {
    const { store, draftId, eryngo, thrift } = aDraft();
    save(store, eryngo, draftId, 1, 101);
    expect(() => act(store, thrift, draftId)).toThrow(refusal('draft_locked'));
  });
});

describe('making a revision of a draft', () => {
  it('freezes the content that was named, with its line, parents and everyone who had a hand in it', () => {
    const { store, clock, draftId, revisionId, eryngo, thrift } = aDraft();
    save(store, thrift, draftId, 1, 105);
    clock.nowMs += LEASE_MS;
    const made = make(store, eryngo, draftId);
    const revision = store.read.calibrations.findRevision(made);
    expect(revision).toMatchObject({ number: 2, line: 'main', parentId: revisionId, authorName: eryngo.name });
    expect(store.read.calibrations.findContent(made)).toEqual(aContent(105));
    const hands = store.read.reviews.handsIn(revision?.calibrationId ?? '', revision?.contentHash ?? '');
    expect(hands).toEqual(new Set([eryngo.id, thrift.id]));
    expect(store.read.drafts.find(draftId)).toMatchObject({ state: 'made', revisionId: made, lock: null });
    expect(store.read.drafts.listSaves(draftId)).toEqual([]);
  });

  it('refuses other content than the one named, and then keeps nothing', () => {
    const { store, draftId, calibrationId, eryngo } = aDraft();
    const seen = store.read.drafts.find(draftId)?.contentHash ?? '';
    save(store, eryngo, draftId, 1, 105);
    const input = { actor: eryngo, draftId, contentHash: seen, message: 'softer' };
    expect(() => store.drafts.make(input)).toThrow(refusal('draft_outdated'));
    expect(store.read.calibrations.find(calibrationId)?.revisions).toHaveLength(1);
  });

  it('refuses content equal to the parent', () => {
    const { store, draftId, eryngo } = aDraft();
    expect(() => make(store, eryngo, draftId)).toThrow(refusal('content_unchanged'));
    expect(store.read.drafts.find(draftId)?.state).toBe('open');
  });

  it('ends the draft: nothing is written to it any more, whoever asks', () => {
    const { store, folder, draftId, eryngo } = aDraft();
    save(store, eryngo, draftId, 1, 105);
    make(store, eryngo, draftId);
    expect(() => save(store, eryngo, draftId, 2, 106)).toThrow(refusal('draft_closed'));
    expect(() => store.drafts.reopen({ actor: eryngo, draftId })).toThrow(refusal('draft_closed'));
    store.close();
    const sqlite = connectForWriting(join(folder, 'syncline.db'));
    expect(() => sqlite.exec(`UPDATE drafts SET title = 'other'`)).toThrow(/is never changed/);
    expect(() => sqlite.exec('DELETE FROM drafts')).toThrow(/is never removed/);
    sqlite.close();
  });
});

describe('a line of revisions', () => {
  it('goes on from its newest revision: of two drafts from one, the second has to branch off', () => {
    const { store, draftId, revisionId, calibrationId, eryngo } = aDraft();
    const second = begin(store, eryngo, { calibrationId, parentId: revisionId, value: 200 });
    save(store, eryngo, draftId, 1, 105);
    make(store, eryngo, draftId);
    expect(() => make(store, eryngo, second)).toThrow(refusal('not_newest'));
    store.drafts.rename({ actor: eryngo, draftId: second, line: 'firm' });
    const branch = make(store, eryngo, second);
    expect(store.read.calibrations.findRevision(branch)).toMatchObject({
      number: 3,
      line: 'firm',
      parentId: revisionId,
    });
  });

  it('is asked for when a draft begins from an older revision', () => {
    const { store, calibrationId, revisionId, eryngo } = aDraft();
    aRevision(store, { calibrationId, parentId: revisionId, content: aContent(101) });
    const input = { calibrationId, parentId: revisionId };
    expect(() => begin(store, eryngo, input)).toThrow(refusal('not_newest'));
    const draftId = begin(store, eryngo, { ...input, line: 'firm' });
    expect(store.read.drafts.find(draftId)?.line).toBe('firm');
  });

  it('cannot begin twice, nor be taken for a branch when it goes on elsewhere', () => {
    const { store, calibrationId, revisionId, eryngo } = aDraft();
    expect(() => begin(store, eryngo, { calibrationId, parentId: null })).toThrow(refusal('not_newest'));
    const [first, second] = [201, 202].map((value) =>
      begin(store, eryngo, { calibrationId, parentId: revisionId, line: 'firm', value }),
    );
    make(store, eryngo, first);
    expect(() => make(store, eryngo, second)).toThrow(refusal('not_newest'));
  });

  it('may be merged without a change, since that it was looked at is worth keeping', () => {
    const { store, calibrationId, revisionId, eryngo } = aDraft();
    const branch = make(
      store,
      eryngo,
      begin(store, eryngo, { calibrationId, parentId: revisionId, line: 'firm', value: 9 }),
    );
    const merge = store.drafts.create({
      actor: eryngo,
      calibrationId,
      title: 'merge',
      origin: 'merge',
      originNote: '',
      parentId: revisionId,
      mergeParentId: branch,
      layoutVersion: 1,
      canonicalJson: canonical(aContent()),
      changedCells: 0,
    });
    expect(store.read.calibrations.findRevision(make(store, eryngo, merge))).toMatchObject({
      line: 'main',
      parentId: revisionId,
      mergeParentId: branch,
    });
  });
});

describe('a discarded draft', () => {
  it('is not listed, takes no save, and can be opened again as it was', () => {
    const { store, draftId, calibrationId, eryngo, thrift } = aDraft();
    save(store, eryngo, draftId, 1, 105);
    store.drafts.discard({ actor: eryngo, draftId });
    expect(store.read.drafts.listOpen(calibrationId)).toEqual([]);
    expect(() => save(store, eryngo, draftId, 2, 106)).toThrow(refusal('draft_closed'));
    store.drafts.reopen({ actor: thrift, draftId });
    expect(store.read.drafts.findContent(draftId)?.content).toEqual(aContent(105));
    expect(actions(store).slice(0, 2)).toEqual(['draft.reopen', 'draft.discard']);
  });
});

it('a draft is refused for what another calibration has', () => {
  const { store, revisionId, eryngo } = aDraft();
  const other = store.calibrations.create({ actor: SYSTEM, title: 'Town', platformId: 'tern6', note: '' });
  expect(() => begin(store, eryngo, { calibrationId: other, parentId: revisionId })).toThrow(
    refusal('parent_mismatch'),
  );
});
