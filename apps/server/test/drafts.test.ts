import type { DraftResponse, RevisionResponse } from '@syncline/contract';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Client } from './support/client.js';
import { type Club, contentWith, foundClub, join, LAYOUT, made } from './support/club.js';
import { edited } from './support/second-layout.js';
import { startServer, type TestServer } from './support/server.js';

const LEASE_MS = 120_000;

let server: TestServer;
let club: Club;
let eryngo: Client;
let seablite: Client;
let calibrationId: string;
let revision: RevisionResponse;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  eryngo = club.as.maintainer;
  seablite = await join(server, eryngo, 'maintainer', 'Seablite');
});
afterAll(() => server.close());

/** A calibration of its own for each test, with one revision. */
beforeEach(async () => {
  calibrationId = (await made(eryngo.post('/calibrations', { title: 'Dune', platformId: 'skua' }))).id;
  const first = { parentId: null, message: 'first', content: contentWith(300) };
  revision = await made(eryngo.post(`/calibrations/${calibrationId}/revisions`, first));
});

const begin = (body: object = {}): Promise<DraftResponse> =>
  made(eryngo.post(`/calibrations/${calibrationId}/drafts`, { parentId: revision.id, ...body }));
const open = (id: string): Promise<DraftResponse> => made(eryngo.get(`/drafts/${id}`));
const save = (client: Client, id: string, version: number, content: unknown) =>
  client.put(`/drafts/${id}/content`, { version, content });
const make = (client: Client, id: string, contentHash: string, message = 'firmer') =>
  client.post(`/drafts/${id}/revision`, { contentHash, message });
const drafts = async () => (await made(eryngo.get(`/calibrations/${calibrationId}/drafts`))).items;
const revisions = async () => (await made(eryngo.get(`/calibrations/${calibrationId}`))).revisions;

describe('a new draft', () => {
  it('holds what its parent holds and says so', async () => {
    const draft = await begin();
    expect(draft).toMatchObject({
      parentId: revision.id,
      parentNumber: 1,
      line: 'main',
      origin: 'edit',
      title: 'From r1',
      version: 1,
      lock: null,
      isUnchanged: true,
      contentHash: revision.contentHash,
      findings: [],
      createdByName: 'Marram',
    });
    expect(draft.content).toEqual(revision.content);
    expect(draft.parentContent).toEqual(revision.content);
    expect((await drafts()).map(({ id }: { id: string }) => id)).toEqual([draft.id]);
  });

  it('holds the defaults of the newest layout when it begins a calibration', async () => {
    const { id } = await made(eryngo.post('/calibrations', { title: 'Cliff', platformId: 'skua' }));
    const draft: DraftResponse = await made(eryngo.post(`/calibrations/${id}/drafts`, { parentId: null }));
    expect(draft).toMatchObject({ parentId: null, parentContent: null, isUnchanged: false, layoutVersion: 1 });
    expect(draft.content).toEqual(contentWith(LAYOUT.tables[0].defaultValue));
    expect((await made(make(eryngo, draft.id, draft.contentHash))).number).toBe(1);
  });

  it('goes on from the newest revision of a line only; from an older one it needs the name of a branch', async () => {
    const body = { parentId: revision.id, message: 'second', content: contentWith(310) };
    await made(eryngo.post(`/calibrations/${calibrationId}/revisions`, body));
    const refused = await eryngo.post(`/calibrations/${calibrationId}/drafts`, { parentId: revision.id });
    expect(refused.json()).toMatchObject({
      code: 'revision.notNewest',
      detail: expect.stringContaining("'main' is 2"),
    });
    expect((await begin({ line: 'firm' })).line).toBe('firm');
  });
});

describe('saving', () => {
  it('keeps values that break limits and says what is wrong with them', async () => {
    const { id } = await begin();
    const content = edited(contentWith(300), 'basePressure', (value, i) => (i === 4 ? 1200 : value), '2-3');
    const saved = await made(save(eryngo, id, 1, content));
    expect(saved).toMatchObject({
      version: 2,
      lock: { personName: 'Marram', untilAt: new Date(server.time.nowMs + LEASE_MS).toISOString() },
      findings: [
        {
          code: 'aboveMaximum',
          severity: 'blocking',
          tableId: 'basePressure',
          variant: '2-3',
          cell: { row: 2, column: 0 },
          message: expect.stringMatching(/1200.*1000 kPa/),
        },
      ],
    });
    const draft = await open(id);
    expect(draft).toMatchObject({ version: 2, findings: saved.findings, contentHash: saved.contentHash });
    expect(draft.content).toEqual(content);
  });

  it.each([
    ['without a table', ({ basePressure }: Tables) => ({ basePressure }), 'tableMissing'],
    ['with an unknown table', (tables: Tables) => ({ ...tables, other: tables.programFactor }), 'tableUnknown'],
    [
      'with a value too few',
      (tables: Tables) => ({
        ...tables,
        basePressure: { ...tables.basePressure, values: { ...tables.basePressure.values, '1-2': [1, 2, 3] } },
      }),
      'valueCount',
    ],
    [
      'with break points in disorder',
      (tables: Tables) => ({
        ...tables,
        basePressure: { ...tables.basePressure, axes: [[0, 50, 40], tables.basePressure.axes[1]] },
      }),
      'axisOrder',
    ],
    [
      'with an unknown variant',
      (tables: Tables) => ({
        ...tables,
        programFactor: { ...tables.programFactor, values: { ...tables.programFactor.values, wild: [1] } },
      }),
      'variantUnknown',
    ],
  ])('refuses content %s, which nobody could read, and keeps nothing', async (_, change, code) => {
    const before = await begin();
    const refused = await save(eryngo, before.id, 1, { ...before.content, tables: change(before.content.tables) });
    expect(refused.json()).toMatchObject({ code: 'revision.blocked', findings: [{ code }] });
    expect(await open(before.id)).toEqual(before);
  });

  it.each([
    ['another layout', { layoutVersion: 7 }, 'revision.blocked'],
    ['text for a number', { tables: { programFactor: { axes: [], values: { calm: ['1'] } } } }, 'request.invalid'],
    ['no number at all', { tables: { programFactor: { axes: [], values: { calm: [null] } } } }, 'request.invalid'],
  ])('refuses %s', async (_, change, code) => {
    const before = await begin();
    expect((await save(eryngo, before.id, 1, { ...before.content, ...change })).json().code).toBe(code);
    expect((await open(before.id)).version).toBe(1);
  });

  it('refuses a number that no computer holds', async () => {
    const { id, content } = await begin();
    const text = JSON.stringify({ version: 1, content }).replace('[300,', '[1e999,');
    const refused = await eryngo.send('PUT', `/drafts/${id}/content`, text, { 'content-type': 'application/json' });
    expect(refused.json().code).toBe('request.invalid');
  });

  it('is told when another save came between', async () => {
    const { id } = await begin();
    await made(save(eryngo, id, 1, contentWith(310)));
    expect((await save(eryngo, id, 1, contentWith(320))).json()).toMatchObject({
      code: 'draft.outdated',
      detail: expect.stringContaining('Marram saved version 2'),
    });
    expect((await open(id)).content).toEqual(contentWith(310));
  });

  it('keeps one of two saves that were made from the same version at once', async () => {
    const { id } = await begin();
    const answers = await Promise.all([310, 320, 330].map((kpa) => save(eryngo, id, 1, contentWith(kpa))));
    expect(answers.map(({ statusCode }) => statusCode).sort((a, b) => a - b)).toEqual([200, 409, 409]);
    expect((await open(id)).version).toBe(2);
  });

  it('can be gone back from: earlier saves are listed with what they changed, and brought back', async () => {
    const { id } = await begin();
    await made(
      save(
        eryngo,
        id,
        1,
        edited(contentWith(300), 'basePressure', (value) => value + 10, '1-2'),
      ),
    );
    await made(save(eryngo, id, 2, contentWith(400)));
    const { items } = await made(eryngo.get(`/drafts/${id}/saves`));
    expect(
      items.map((entry: { version: number; changedCells: number }) => [entry.version, entry.changedCells]),
    ).toEqual([
      [3, 24],
      [2, 6],
      [1, 0],
    ]);
    const restored = await made(eryngo.post(`/drafts/${id}/restore`, { version: 3, from: 1 }));
    expect(restored).toMatchObject({ version: 4, isUnchanged: true });
    expect(restored.content).toEqual(contentWith(300));
    const gone = await eryngo.post(`/drafts/${id}/restore`, { version: 4, from: 99 });
    expect(gone.json().code).toBe('resource.notFound');
  });
});

type Tables = DraftResponse['content']['tables'];

describe('two people', () => {
  it('take turns: while one edits, the other is told who and until when', async () => {
    const { id } = await begin();
    await made(eryngo.post(`/drafts/${id}/lock`, { action: 'take' }));
    const refused = await save(seablite, id, 1, contentWith(310));
    expect(refused.json()).toMatchObject({ code: 'draft.locked', detail: expect.stringMatching(/^Marram is editing/) });
    await made(eryngo.post(`/drafts/${id}/lock`, { action: 'release' }));
    expect((await made(save(seablite, id, 1, contentWith(310)))).lock.personName).toBe('Seablite');
  });

  it('may take over from each other, and the one who lost it is told at the next save', async () => {
    const { id } = await begin();
    await made(save(eryngo, id, 1, contentWith(310)));
    expect((await seablite.post(`/drafts/${id}/lock`, { action: 'take' })).json().code).toBe('draft.locked');
    const taken = await made(seablite.post(`/drafts/${id}/lock`, { action: 'takeOver' }));
    expect(taken.lock).toMatchObject({ personId: seablite.personId });
    const refused = await save(eryngo, id, 2, contentWith(320));
    expect(refused.json()).toMatchObject({ code: 'draft.locked', detail: expect.stringContaining('Seablite') });
    const [entry] = (await made(eryngo.get('/audit?limit=1'))).items;
    expect(entry).toMatchObject({ action: 'draft.takeOver', actorName: 'Seablite', target: `draft:${id}` });
  });

  it('need not wait for one who fell silent', async () => {
    const { id } = await begin();
    await made(save(eryngo, id, 1, contentWith(310)));
    server.time.nowMs += LEASE_MS;
    expect((await save(seablite, id, 2, contentWith(320))).statusCode).toBe(200);
    // The first one still stands at the version of before.
    server.time.nowMs += LEASE_MS;
    expect((await save(eryngo, id, 2, contentWith(330))).json().code).toBe('draft.outdated');
  });

  it('cannot make or discard what the other one edits', async () => {
    const { id } = await begin();
    const { contentHash } = await made(save(eryngo, id, 1, contentWith(310)));
    expect((await make(seablite, id, contentHash)).json().code).toBe('draft.locked');
    expect((await seablite.delete(`/drafts/${id}`)).json().code).toBe('draft.locked');
    expect((await seablite.patch(`/drafts/${id}`, { title: 'mine' })).json().code).toBe('draft.locked');
  });
});

describe('making a revision', () => {
  it('takes the draft as it stands, with its line and parent, and ends it', async () => {
    const { id } = await begin();
    const { contentHash } = await made(save(eryngo, id, 1, contentWith(310)));
    const second: RevisionResponse = await made(make(eryngo, id, contentHash, 'ten more'));
    expect(second).toMatchObject({
      number: 2,
      line: 'main',
      parentId: revision.id,
      mergeParentId: null,
      revertsId: null,
      reviewState: 'none',
      message: 'ten more',
      contentHash,
    });
    expect(second.content).toEqual(contentWith(310));
    expect(await drafts()).toEqual([]);
    const closed = { code: 'draft.closed', detail: expect.stringContaining('made into r2 by Marram') };
    expect((await eryngo.get(`/drafts/${id}`)).json()).toMatchObject(closed);
    expect((await save(eryngo, id, 2, contentWith(320))).json().code).toBe('draft.closed');
  });

  it('is refused while a blocking finding stands, and then nothing is made', async () => {
    const { id } = await begin();
    const content = edited(contentWith(300), 'programFactor', () => 5, 'brisk');
    const { contentHash } = await made(save(eryngo, id, 1, content));
    const refused = await make(eryngo, id, contentHash);
    expect(refused.statusCode).toBe(422);
    expect(refused.json()).toMatchObject({
      code: 'revision.blocked',
      findings: [{ code: 'aboveMaximum', where: 'programFactor, brisk, row 1, column 1' }],
    });
    expect(await revisions()).toHaveLength(1);
    expect(await drafts()).toHaveLength(1);
  });

  it('is refused for content that was not seen, and for none that is new', async () => {
    const { id, contentHash } = await begin();
    expect((await make(eryngo, id, contentHash)).json().code).toBe('revision.unchanged');
    await made(save(eryngo, id, 1, contentWith(310)));
    expect((await make(eryngo, id, contentHash)).json().code).toBe('draft.outdated');
    expect(await revisions()).toHaveLength(1);
  });

  it('branches off when the line went on from another draft meanwhile', async () => {
    const [first, second] = [await begin(), await begin()];
    const { contentHash: hashA } = await made(save(eryngo, first.id, 1, contentWith(310)));
    const { contentHash: hashB } = await made(save(eryngo, second.id, 1, contentWith(320)));
    await made(make(eryngo, first.id, hashA));
    expect((await make(eryngo, second.id, hashB)).json().code).toBe('revision.notNewest');
    expect((await eryngo.patch(`/drafts/${second.id}`, { line: 'Firm!' })).json().code).toBe('request.invalid');
    await made(eryngo.patch(`/drafts/${second.id}`, { line: 'firm', title: 'Firm branch' }));
    expect(await made(make(eryngo, second.id, hashB))).toMatchObject({
      number: 3,
      line: 'firm',
      parentId: revision.id,
    });
  });

  it('happens once when it is asked for twice at once', async () => {
    const { id } = await begin();
    const { contentHash } = await made(save(eryngo, id, 1, contentWith(310)));
    const answers = await Promise.all([1, 2].map(() => make(eryngo, id, contentHash)));
    expect(answers.map(({ statusCode }) => statusCode).sort((a, b) => a - b)).toEqual([201, 409]);
    expect(await revisions()).toHaveLength(2);
  });
});

it('a discarded draft is gone from the list and can be opened again with all that was saved', async () => {
  const { id } = await begin();
  await made(save(eryngo, id, 1, contentWith(310)));
  await made(eryngo.delete(`/drafts/${id}`));
  expect(await drafts()).toEqual([]);
  expect((await eryngo.get(`/drafts/${id}`)).json()).toMatchObject({
    code: 'draft.closed',
    detail: expect.stringContaining('discarded by Marram'),
  });
  await made(eryngo.post(`/drafts/${id}/reopen`));
  expect((await open(id)).content).toEqual(contentWith(310));
});

describe('reading a draft', () => {
  it('is compared with its parent like a revision', async () => {
    const { id } = await begin();
    await made(
      save(
        eryngo,
        id,
        1,
        edited(contentWith(300), 'basePressure', (value) => value * 1.1, '2-3'),
      ),
    );
    const compared = await made(club.as.reviewer.get(`/compare/tables?base=${revision.id}&other=draft:${id}`));
    expect(compared).toMatchObject({
      base: { number: 1 },
      other: { id, version: 2, title: 'From r1' },
      differences: [{ tableId: 'basePressure', variant: '2-3', changedCells: 6 }],
      equalTableCount: 5,
    });
    expect((await eryngo.get(`/compare/tables?base=draft:none&other=draft:${id}`)).json().code).toBe(
      'resource.notFound',
    );
  });

  it('tells what it would command', async () => {
    const { id } = await begin();
    await made(save(eryngo, id, 1, contentWith(345)));
    const query = 'rule=applyPressure&shift=2-3&program=brisk';
    const map = await made(club.as.reviewer.get(`/drafts/${id}/commanded?${query}`));
    expect(map.values).toEqual(Array(6).fill(345));
    const point = await made(club.as.reviewer.get(`/drafts/${id}/commanded-point?${query}&load=20&inputSpeed=1200`));
    expect(point.value).toBe(345);
  });
});
