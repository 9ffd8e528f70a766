import type { Review, RevisionResponse } from '@syncline/contract';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Client } from './support/client.js';
import { type Club, contentWith, foundClub, join, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let club: Club;
let people: Record<'author' | 'editor' | 'asker' | 'maintainer' | 'reviewer', Client>;
let revision: RevisionResponse;
let review: Review;

beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  const [author, editor, asker] = [
    await join(server, club.as.maintainer, 'maintainer', 'Orpine'),
    await join(server, club.as.maintainer, 'maintainer', 'Eyebright'),
    await join(server, club.as.maintainer, 'maintainer', 'Seablite'),
  ];
  people = { author, editor, asker, maintainer: club.as.maintainer, reviewer: club.as.reviewer };
});
afterAll(() => server.close());

/** A revision that one person edited, another one made and a third one wants reviewed. */
beforeEach(async () => {
  const { author, editor, asker, maintainer } = people;
  const { id } = await made(maintainer.post('/calibrations', { title: 'Dune', platformId: 'skua' }));
  const draft = await made(editor.post(`/calibrations/${id}/drafts`, { parentId: null }));
  const content = contentWith(310);
  const { contentHash } = await made(editor.put(`/drafts/${draft.id}/content`, { version: 1, content }));
  await made(editor.post(`/drafts/${draft.id}/lock`, { action: 'release' }));
  revision = await made(author.post(`/drafts/${draft.id}/revision`, { message: 'first', contentHash }));
  review = await made(asker.post(`/revisions/${revision.id}/reviews`, { note: 'cold 2-3' }));
});

const decide = (client: Client, decision: string, more: object = {}) =>
  client.post(`/reviews/${review.id}/decision`, {
    decision,
    contentHash: revision.contentHash,
    reason: 'read it',
    ...more,
  });
const stateOf = async () => (await made(people.reviewer.get(`/revisions/${revision.id}`))).reviewState;

describe('who decides', () => {
  it.each([
    ['author', 'approved', 403],
    ['author', 'sentBack', 403],
    ['editor', 'approved', 403],
    ['editor', 'sentBack', 403],
    ['asker', 'approved', 403],
    ['asker', 'sentBack', 403],
    ['asker', 'withdrawn', 200],
    ['author', 'withdrawn', 403],
    ['reviewer', 'withdrawn', 403],
    ['reviewer', 'approved', 200],
    ['reviewer', 'sentBack', 200],
    ['maintainer', 'approved', 200],
    ['maintainer', 'sentBack', 200],
  ] as const)('the %s may or may not: %s', async (who, decision, status) => {
    const response = await decide(people[who], decision);
    expect(response.statusCode).toBe(status);
    if (status === 403) expect(response.json().code).toBe('review.notAllowed');
    const expected = status === 403 ? 'open' : decision === 'withdrawn' ? 'none' : decision;
    expect(await stateOf()).toBe(expected);
  });

  it.each([
    ['author', false],
    ['editor', false],
    ['asker', false],
    ['maintainer', true],
    ['reviewer', true],
  ] as const)('the %s is told beforehand', async (who, mayDecide) => {
    const { items } = await made(people[who].get(`/revisions/${revision.id}/reviews`));
    expect(items).toMatchObject([{ id: review.id, mayDecide, whyNot: mayDecide ? null : expect.any(String) }]);
  });

  it('a hand in the same content elsewhere in the calibration counts as well', async () => {
    const { maintainer, asker } = people;
    const { calibrationId, content, id: parentId } = revision;
    const path = `/calibrations/${calibrationId}/revisions`;
    const other = await made(asker.post(path, { parentId, message: 'aside', content: contentWith(999) }));
    await made(maintainer.post(path, { parentId: other.id, message: 'and back', content }));
    expect((await decide(maintainer, 'approved')).json().code).toBe('review.notAllowed');
  });
});

describe('a decision', () => {
  it('is of the content that was read', async () => {
    const response = await decide(people.reviewer, 'approved', { contentHash: '0'.repeat(64) });
    expect(response.json().code).toBe('review.otherContent');
    expect(await stateOf()).toBe('open');
  });

  it('to send back needs a reason', async () => {
    expect((await decide(people.reviewer, 'sentBack', { reason: '  ' })).json().code).toBe('review.reasonMissing');
    const sentBack = await made(decide(people.reviewer, 'sentBack', { reason: '2-3 is too soft when cold' }));
    expect(sentBack).toMatchObject({
      state: 'sentBack',
      reason: '2-3 is too soft when cold',
      decidedByName: 'Samphire',
      revisionLabel: 'Dune r1',
    });
  });

  it('is final, and another review may be asked for', async () => {
    await made(decide(people.reviewer, 'approved'));
    expect((await decide(people.maintainer, 'sentBack')).json().code).toBe('review.closed');
    const again = await made(people.asker.post(`/revisions/${revision.id}/reviews`, {}));
    expect(await stateOf()).toBe('open');
    expect((await people.author.post(`/revisions/${revision.id}/reviews`, {})).json().code).toBe('review.open');
    expect(again.note).toBe('');
  });

  it('is given once when two decide at the same moment', async () => {
    const answers = await Promise.all([decide(people.reviewer, 'approved'), decide(people.maintainer, 'sentBack')]);
    expect(answers.map(({ statusCode }) => statusCode).sort((a, b) => a - b)).toEqual([200, 409]);
  });

  it('stands in the audit trail with who, what and why', async () => {
    await made(decide(people.reviewer, 'sentBack', { reason: 'too soft' }));
    const [entry] = (await made(people.maintainer.get('/audit?limit=1'))).items;
    expect(entry).toMatchObject({
      action: 'review.sendBack',
      actorName: 'Samphire',
      target: `revision:${revision.id}`,
      detail: `Dune 1 (content ${revision.contentHash}): too soft`,
    });
  });
});

it('open reviews are listed newest first for whoever reviews', async () => {
  const { items } = await made(people.reviewer.get('/reviews?state=open'));
  expect(items[0]).toMatchObject({ id: review.id, state: 'open', mayDecide: true });
  expect(items.every((entry: Review) => entry.state === 'open')).toBe(true);
  await made(decide(people.reviewer, 'approved'));
  const ids = async (query: string) => (await made(people.reviewer.get(`/reviews${query}`))).items.map(idOf);
  expect(await ids('?state=open')).not.toContain(review.id);
  expect((await ids(''))[0]).toBe(review.id);
});

const idOf = ({ id }: { id: string }) => id;

describe('comments', () => {
  const comment = (client: Client, body: object) => client.post(`/revisions/${revision.id}/comments`, body);

  it('stand on a cell, are answered and settled', async () => {
    const place = { tableId: 'basePressure', variant: '2-3', cell: { row: 2, column: 1 } };
    const { id } = await made(comment(people.reviewer, { ...place, text: 'why so low?' }));
    await made(comment(people.author, { text: 'measured twice' }));
    await made(people.author.patch(`/comments/${id}`, { isResolved: true }));
    const { items } = await made(people.author.get(`/revisions/${revision.id}/comments`));
    expect(items).toMatchObject([
      { ...place, text: 'why so low?', byName: 'Samphire', isOwn: false, resolvedByName: 'Orpine' },
      { tableId: null, cell: null, text: 'measured twice', isOwn: true, resolvedAt: null },
    ]);
    expect((await made(people.reviewer.patch(`/comments/${id}`, { isResolved: false }))).resolvedAt).toBeNull();
  });

  it.each([
    ['an unknown table', { tableId: 'none' }],
    ['an unknown variant', { tableId: 'basePressure', variant: '9-9' }],
    ['a cell outside', { tableId: 'basePressure', variant: '1-2', cell: { row: 3, column: 0 } }],
    ['a cell of no variant', { tableId: 'basePressure', cell: { row: 0, column: 0 } }],
    ['a variant of no table', { variant: '1-2' }],
    ['nothing said', { text: '   ' }],
  ])('are refused on %s', async (_, body) => {
    expect((await comment(people.reviewer, { text: 'hm', ...body })).json().code).toBe('request.invalid');
  });
});
