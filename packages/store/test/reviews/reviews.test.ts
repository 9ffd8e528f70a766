import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { connectForWriting } from '../../src/database/connect.js';
import type { Actor, Store } from '../../src/index.js';
import { aClub, aContent, aRevision, aTester, SYSTEM } from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const refusal = (code: string) => expect.objectContaining({ code });

function aReview() {
  const test = openTestStore();
  const { store } = test;
  const { maintainer, calibrationId, revisionId } = aClub(store);
  const asker: Actor = { kind: 'person', id: maintainer.id, name: maintainer.name, requestId: 'request-3' };
  const reviewer: Actor = { kind: 'person', id: aTester(store, 'Samphire'), name: 'Samphire', requestId: 'request-4' };
  const reviewId = store.reviews.request({ actor: asker, revisionId, note: 'cold 2-3' });
  const contentHash = store.read.calibrations.findRevision(revisionId)?.contentHash ?? '';
  return { ...test, calibrationId, revisionId, asker, reviewer, reviewId, contentHash };
}

const stateOf = (store: Store, revisionId: string) => store.read.calibrations.findRevision(revisionId)?.reviewState;

describe('a review', () => {
  it('is of the content of its revision, and at most one is open', () => {
    const { store, revisionId, asker, contentHash } = aReview();
    expect(store.read.reviews.ofRevision(revisionId)).toMatchObject([
      { state: 'open', contentHash, note: 'cold 2-3', requestedByName: asker.name, revision: { number: 1 } },
    ]);
    expect(() => store.reviews.request({ actor: asker, revisionId, note: '' })).toThrow(refusal('review_open'));
    expect(stateOf(store, revisionId)).toBe('open');
  });

  it('is decided once, on the content that was read', () => {
    const { store, revisionId, reviewer, reviewId, contentHash } = aReview();
    const decision = { actor: reviewer, reviewId, decision: 'approved', contentHash, reason: '' } as const;
    const other = { ...decision, contentHash: '0'.repeat(64) };
    expect(() => store.reviews.decide(other)).toThrow(refusal('review_other_content'));
    store.reviews.decide(decision);
    expect(stateOf(store, revisionId)).toBe('approved');
    expect(() => store.reviews.decide({ ...decision, decision: 'sentBack' })).toThrow(refusal('review_closed'));
    expect(store.read.audit.list({ limit: 1 }).items[0]).toMatchObject({
      action: 'review.approve',
      actorName: 'Samphire',
    });
  });

  it('counts for equal content of the same calibration only, the newest that was not withdrawn', () => {
    const { store, calibrationId, revisionId, asker, reviewer, reviewId, contentHash } = aReview();
    store.reviews.decide({ actor: reviewer, reviewId, decision: 'sentBack', contentHash, reason: 'too soft' });
    const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(101) });
    const back = aRevision(store, { calibrationId, parentId: second, content: aContent() });
    expect([second, back].map((id) => stateOf(store, id))).toEqual(['none', 'sentBack']);
    const withdrawn = store.reviews.request({ actor: asker, revisionId: back, note: '' });
    expect(stateOf(store, revisionId)).toBe('open');
    store.reviews.decide({ actor: asker, reviewId: withdrawn, decision: 'withdrawn', contentHash, reason: '' });
    expect(stateOf(store, back)).toBe('sentBack');
    expect(store.read.reviews.ofRevision(back).map(({ state }) => state)).toEqual(['withdrawn', 'sentBack']);

    const elsewhere = store.calibrations.create({ actor: SYSTEM, title: 'Town', platformId: 'tern6', note: '' });
    const twin = aRevision(store, { calibrationId: elsewhere, parentId: null, content: aContent() });
    expect(stateOf(store, twin)).toBe('none');
  });

  it.each([
    ['a decision', `UPDATE reviews SET state = 'open'`, /decision is never changed/, true],
    ['a reason', `UPDATE reviews SET reason = 'other'`, /decision is never changed/, true],
    ['what was asked', `UPDATE reviews SET content_hash = 'other'`, /asked of a reviewer is never changed/, false],
    ['a review', 'DELETE FROM reviews', /is never removed/, false],
    [
      'the content it is of',
      `INSERT INTO reviews SELECT 'x', calibration_id, revision_id, 'other', 'approved', '', NULL, '', 0, NULL, NULL, NULL, NULL
       FROM reviews`,
      /is of the content of its revision/,
      true,
    ],
  ])('%s cannot be tampered with', (_, statement, message, isDecided) => {
    const { store, folder, reviewer, reviewId, contentHash } = aReview();
    if (isDecided) store.reviews.decide({ actor: reviewer, reviewId, decision: 'approved', contentHash, reason: '' });
    store.close();
    const sqlite = connectForWriting(join(folder, 'syncline.db'));
    expect(() => sqlite.exec(statement)).toThrow(message);
    sqlite.close();
  });
});

describe('comments', () => {
  it('stand on a revision, a table or a cell, and are settled or opened again', () => {
    const { store, revisionId, reviewer, asker } = aReview();
    const place = { tableId: 'fillPressure', variant: 'all', cell: { row: 0, column: 0 } };
    const onCell = store.reviews.addComment({ actor: reviewer, revisionId, ...place, text: 'why so low?' });
    const nowhere = { tableId: null, variant: null, cell: null };
    store.reviews.addComment({ actor: asker, revisionId, ...nowhere, text: 'measured twice' });
    store.reviews.resolveComment({ actor: asker, commentId: onCell, isResolved: true });
    expect(store.read.reviews.comments(revisionId)).toMatchObject([
      { ...place, text: 'why so low?', byName: 'Samphire', resolvedByName: asker.name },
      { ...nowhere, text: 'measured twice', resolvedAtMs: null },
    ]);
    store.reviews.resolveComment({ actor: reviewer, commentId: onCell, isResolved: false });
    expect(store.read.reviews.findComment(onCell)).toMatchObject({ resolvedAtMs: null, resolvedByName: null });
  });

  it('are never changed or removed', () => {
    const { store, folder, revisionId, reviewer } = aReview();
    const nowhere = { tableId: null, variant: null, cell: null };
    store.reviews.addComment({ actor: reviewer, revisionId, ...nowhere, text: 'no' });
    store.close();
    const sqlite = connectForWriting(join(folder, 'syncline.db'));
    expect(() => sqlite.exec(`UPDATE comments SET text = 'yes'`)).toThrow(/is never changed/);
    expect(() => sqlite.exec('DELETE FROM comments')).toThrow(/is never removed/);
    sqlite.close();
  });
});
