import { rmSync } from 'node:fs';
import type { Application, RecruitmentResponse } from '@syncline/contract';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { DEFAULT_APPLICATION_LIMIT } from '../src/plugins/guess-limits.js';
import { Client } from './support/client.js';
import { AGREED, type Club, foundClub, made, PASSWORD } from './support/club.js';
import { anApplication } from './support/request-cases.js';
import { startServer, type TestServer } from './support/server.js';

const DAY_MS = 24 * 3600_000;
const SERVER = { kind: 'system', id: null, name: 'test', requestId: 'test' } as const;

let server: TestServer;
let club: Club;
const begin = async () => {
  server = await startServer();
  club = await foundClub(server);
};
const end = () => server.close();

const open = () => made(club.as.maintainer.put('/recruitment', { isOpen: true, callText: 'Come and drive.' }));
const apply = (change: object = {}) => club.as.noOne.post('/applications', anApplication(change));
const listed = async (query = ''): Promise<Application[]> =>
  (await made(club.as.maintainer.get(`/applications${query}`))).items;

describe('the form for applications', () => {
  beforeEach(begin);
  afterEach(end);

  it('tells nothing, and takes none, until the club is open', async () => {
    expect(await made(club.as.noOne.get('/application-form'))).toEqual({ isOpen: false });
    expect((await apply()).json()).toMatchObject({ status: 409, code: 'application.closed' });
    await open();
    expect(await made(club.as.noOne.get('/application-form'))).toEqual({
      isOpen: true,
      clubName: 'Skua club',
      callText: 'Come and drive.',
      platforms: [
        {
          id: 'skua',
          title: 'Skua three-speed',
          dialects: [
            { id: 'sand', title: 'Sand' },
            { id: 'shingle', title: 'Shingle' },
          ],
        },
      ],
    });
  });

  it('answers a member, a stranger and who wrote before with the same words', async () => {
    await open();
    const answers = [await apply(), await apply(), await apply({ email: 'thrift@club.test' })];
    expect(new Set(answers.map(({ statusCode, body }) => `${statusCode} ${body}`))).toEqual(
      new Set(['202 {"isReceived":true}']),
    );
    expect(await listed()).toMatchObject([
      { email: 'thrift@club.test', sameAddress: 0 },
      { email: 'rocket@shore.example', sameAddress: 1 },
      { email: 'rocket@shore.example', sameAddress: 1 },
    ]);
  });
});

it('takes five applications an hour from one address by default, and says how long to wait', async () => {
  server = await startServer({ applicationLimit: DEFAULT_APPLICATION_LIMIT });
  club = await foundClub(server);
  await open();
  for (let i = 0; i < 5; i++) expect((await apply()).statusCode).toBe(202);
  const sixth = await apply();
  expect(sixth.json()).toMatchObject({ status: 429, code: 'request.tooMany' });
  expect(Number(sixth.headers['retry-after'])).toBeGreaterThan(3000);
  expect(await listed()).toHaveLength(5);
  await server.close();
});

describe('an application that cannot be', () => {
  beforeAll(async () => {
    await begin();
    await open();
  });
  afterAll(end);

  it.each([
    ['without consent', { hasConsented: false }, 'hasConsented'],
    ['with the consent to older words', { consentVersion: 0 }, 'consentVersion'],
    ['without a name', { name: ' ' }, 'name'],
    ['with what is no address', { email: 'nobody' }, 'email'],
    ['with an unknown climate', { climates: ['volcano'] }, 'climates'],
    ['with a climate said twice', { climates: ['frost', 'frost'] }, 'climates'],
    ['with a car of endless words', { car: 'x'.repeat(201) }, 'car'],
  ])('refuses an application %s, naming the field', async (_what, change, field) => {
    const response = await apply(change);
    expect(response.json()).toMatchObject({ status: 400, code: 'request.invalid' });
    expect(response.json().fields[0].path).toContain(field);
    expect(await listed()).toEqual([]);
  });

  it('refuses a body that no application has, and an unknown gearbox', async () => {
    expect((await apply({ logger: 'x'.repeat(20_000) })).json()).toMatchObject({ code: 'request.tooLarge' });
    expect((await apply({ platformId: 'none' })).json()).toMatchObject({ code: 'resource.notFound' });
  });
});

describe('applications', () => {
  beforeEach(begin);
  afterEach(end);

  it('are listed with the lacking profiles that each fills, and narrowed by state and gearbox', async () => {
    await open();
    await apply();
    await apply({ name: 'Beet', platformId: null });
    const [beet, rocket] = await listed();
    expect(beet).toMatchObject({ name: 'Beet', fills: [], platformTitle: null });
    expect(rocket.fills.map(({ dimension, title }) => `${dimension} ${title}`)).toEqual([
      'platform Skua three-speed',
      'dialect Shingle',
      'temperature below 20 °C',
    ]);
    await made(
      club.as.maintainer.post(`/applications/${rocket.id}/decision`, { decision: 'waiting', note: 'in spring' }),
    );
    expect(await listed('?state=waiting&platform=skua')).toMatchObject([
      { id: rocket.id, note: 'in spring', decidedByName: 'Marram' },
    ]);
    expect((await club.as.tester.get('/applications')).statusCode).toBe(403);
  });

  it('become invitations whose note names no one, and the link lets a tester in', async () => {
    await open();
    await apply();
    const [{ id }] = await listed();
    const { path, role, note } = await made(club.as.maintainer.post(`/applications/${id}/invitation`));
    expect({ role, note }).toEqual({ role: 'tester', note: `application ${id}` });
    expect(await listed()).toMatchObject([{ state: 'invited', decidedByName: 'Marram' }]);
    const person = { name: 'Sea Rocket', email: 'rocket@shore.example', password: PASSWORD, ...AGREED };
    const joined = await new Client(server).post(`/invitations/${path.replace('/join/', '')}/accept`, person);
    expect(joined.statusCode).toBe(201);
  });

  it('are gone without a trace of the person when they are removed', async () => {
    await open();
    await apply();
    const [{ id }] = await listed();
    await made(club.as.maintainer.delete(`/applications/${id}`));
    expect(await listed()).toEqual([]);
    const trail = JSON.stringify(server.store.read.audit.list({ limit: 1000 }).items);
    expect(trail).toContain('application.remove');
    expect(trail).not.toMatch(/rocket|fjord/i);
  });

  it('that were declined are removed at the first start after 180 days', async () => {
    const first = await startServer();
    const startMs = first.time.nowMs;
    const { as } = await foundClub(first);
    await made(as.maintainer.put('/recruitment', { isOpen: true, callText: '' }));
    for (const [name, days] of [
      ['Rocket', 181],
      ['Beet', 179],
    ] as const) {
      first.time.nowMs = startMs - days * DAY_MS;
      await as.noOne.post('/applications', anApplication({ name }));
      const [{ id }] = first.store.read.applications.list({}, { limit: 1 }).items;
      first.store.applications.decide({ actor: SERVER, applicationId: id, state: 'declined', note: '' });
    }
    await first.app.close();
    first.store.close();
    const next = await startServer({ folder: first.folder });
    await next.app.close();
    expect(next.store.read.applications.list({}, { limit: 5 }).items).toMatchObject([{ name: 'Beet' }]);
    next.store.close();
    rmSync(first.folder, { recursive: true });
  });
});

describe('recruitment', () => {
  beforeEach(begin);
  afterEach(end);

  it('suggests a call from what is lacking until a maintainer writes one', async () => {
    const before: RecruitmentResponse = await made(club.as.reviewer.get('/recruitment'));
    expect(before).toMatchObject({ isOpen: false, changedByName: null, changedAt: null });
    expect(before.callText).toBe(before.suggestedText);
    expect(before.suggestedText).toContain('Skua three-speed, above all with the bus dialect Sand or Shingle');
    expect(before.needs.find(({ dimension }) => dimension === 'engine')).toMatchObject({
      title: '2.0 diesel',
      cars: 2,
      active: 0,
      verified: 2,
      isLacking: true,
    });
    await open();
    expect(await made(club.as.reviewer.get('/recruitment'))).toMatchObject({
      isOpen: true,
      callText: 'Come and drive.',
      suggestedText: before.suggestedText,
      changedByName: 'Marram',
    });
  });
});
