import { PROBLEMS, type Problem, problem as problemSchema } from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Client } from './support/client.js';
import { AGREED, CAR, type Club, contentWith, foundClub, LAYOUT, PASSWORD, PLATFORM } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterAll(() => server.close());

type Call = (club: Club) => ReturnType<Client['get']>;

const revision =
  (body: object): Call =>
  ({ as, calibrationId }) =>
    as.maintainer.post(`/calibrations/${calibrationId}/revisions`, { message: 'try', parentId: null, ...body });

const CASES: readonly [code: keyof typeof PROBLEMS, what: string, call: Call][] = [
  ['resource.notFound', 'an unknown address of the API', ({ as }) => as.tester.get('/nothing')],
  ['resource.notFound', 'an unknown method', ({ as }) => as.tester.send('PUT', '/logs', {})],
  ['request.invalid', 'an address that is no address', ({ as }) => as.tester.get('/platforms/%zz')],
  ['resource.notFound', 'an overlong id', ({ as }) => as.tester.get(`/logs/${'x'.repeat(1000)}`)],
  ['resource.notFound', 'an unknown platform', ({ as }) => as.tester.get('/platforms/none')],
  [
    'resource.notFound',
    'an unknown table',
    ({ as, revisionIds }) => as.reviewer.get(`/revisions/${revisionIds[0]}/evidence?table=none&variant=1-2`),
  ],
  ['request.invalid', 'a query out of range', ({ as }) => as.tester.get('/logs?limit=1000')],
  [
    'request.invalid',
    'a body that is no JSON',
    ({ as }) => as.maintainer.post('/platforms', '{', { 'content-type': 'application/json' }),
  ],
  ['request.invalid', 'a cursor that the server did not make', ({ as }) => as.tester.get('/logs?cursor=nonsense')],
  [
    'request.invalid',
    'an unknown rule',
    ({ as, revisionIds }) => as.reviewer.get(`/revisions/${revisionIds[0]}/commanded?rule=none`),
  ],
  [
    'request.invalid',
    'a rule without the shift that it needs',
    ({ as, revisionIds }) => as.reviewer.get(`/revisions/${revisionIds[0]}/commanded?rule=applyPressure`),
  ],
  ['request.tooLarge', 'a large body', ({ as }) => as.maintainer.post('/platforms', { id: 'x'.repeat(2_000_000) })],
  [
    'request.mediaType',
    'a form',
    ({ as }) => as.maintainer.post('/platforms', 'a=1', { 'content-type': 'application/x-www-form-urlencoded' }),
  ],
  [
    'session.badCredentials',
    'a wrong password',
    ({ as }) => as.noOne.post('/session', { email: 'marram@club.test', password: 'wrong' }),
  ],
  [
    'session.badCredentials',
    'an unknown person',
    ({ as }) => as.noOne.post('/session', { email: 'no.one@club.test', password: PASSWORD }),
  ],
  [
    'session.badOrigin',
    'another site',
    ({ as }) => as.tester.post('/vehicles', CAR, { origin: 'https://elsewhere.test' }),
  ],
  [
    'session.forbidden',
    'a car for someone else by a tester',
    ({ as }) => as.tester.post('/vehicles', { ...CAR, title: 'Van', ownerId: as.otherTester.personId }),
  ],
  [
    'setup.done',
    'a second set-up',
    ({ as }) =>
      as.noOne.post('/setup', { clubName: 'B', name: 'B', email: 'b@club.test', password: PASSWORD, ...AGREED }),
  ],
  ['invitation.invalid', 'an unknown invitation', ({ as }) => as.noOne.get('/invitations/nonsense')],
  ['resource.exists', 'a platform that is there', ({ as }) => as.maintainer.post('/platforms', PLATFORM)],
  [
    'platform.invalid',
    'a shift to a gear that is not there',
    ({ as }) => as.maintainer.post('/platforms', { ...PLATFORM, id: 'gull', shifts: [{ id: '1-9', from: 1, to: 9 }] }),
  ],
  [
    'layout.invalid',
    'a rule of an unknown table',
    ({ as }) =>
      as.maintainer.post('/platforms/skua/layouts', {
        ...LAYOUT,
        version: 2,
        rules: [{ ...LAYOUT.rules[0], tables: ['none'] }],
      }),
  ],
  [
    'policy.invalid',
    'thresholds of an unknown program',
    async ({ as }) => {
      const { policy } = (await as.maintainer.get('/platforms/skua')).json();
      return as.maintainer.post('/platforms/skua/policies', {
        ...policy,
        programs: { ...policy.programs, snow: policy.programs.default },
      });
    },
  ],
  ['revision.blocked', 'a pressure above its limit', revision({ content: contentWith(2000) })],
  [
    'revision.parentMismatch',
    'a parent of another calibration',
    async ({ as, revisionIds }) => {
      const { id } = (await as.maintainer.post('/calibrations', { title: 'Other', platformId: 'skua' })).json();
      const body = { parentId: revisionIds[0], message: 'try', content: contentWith(310) };
      return as.maintainer.post(`/calibrations/${id}/revisions`, body);
    },
  ],
  [
    'revision.unchanged',
    'the content of its parent',
    (of) => revision({ parentId: of.revisionIds[0], content: contentWith(300) })(of),
  ],
  [
    'comparison.incompatible',
    'a revision with itself',
    ({ as, revisionIds }) => as.reviewer.get(`/compare/tables?base=${revisionIds[0]}&other=${revisionIds[0]}`),
  ],
  [
    'vehicle.dialectUnverified',
    'a car that was not looked at',
    async ({ as, revisionIds }) => {
      const { id } = (await as.tester.post('/vehicles', { ...CAR, title: 'Van' })).json();
      return as.tester.post(`/vehicles/${id}/installations`, { revisionId: revisionIds[0] });
    },
  ],
  [
    'vehicle.platformMismatch',
    'a revision of another gearbox',
    async ({ as, revisionIds }) => {
      await as.maintainer.post('/platforms', { ...PLATFORM, id: 'tern' });
      const { id } = (await as.tester.post('/vehicles', { ...CAR, platformId: 'tern', title: 'Van' })).json();
      return as.maintainer.post(`/vehicles/${id}/installations`, { revisionId: revisionIds[0] });
    },
  ],
];

describe('a problem document', () => {
  it.each(CASES)('%s answers %s', async (code, _what, call) => {
    const response = await call(club);
    expect(response.headers['content-type']).toMatch(/^application\/problem\+json/);
    const document: Problem = problemSchema.parse(response.json());
    expect(document).toMatchObject({ code, status: PROBLEMS[code].status, title: PROBLEMS[code].title });
    expect(response.statusCode).toBe(document.status);
    expect(response.headers['x-request-id']).toBe(document.requestId);
  });

  it('names each field at fault', async () => {
    const response = await club.as.tester.post('/vehicles', { ...CAR, massKg: 'heavy', title: '' });
    expect(response.json().fields.map((field: { path: string }) => field.path)).toEqual(['body.title', 'body.massKg']);
  });

  it('names table, cell and limit of what blocks a revision', async () => {
    const response = await revision({ content: contentWith(2000) })(club);
    expect(response.json().findings[0]).toMatchObject({
      tableId: 'basePressure',
      variant: '1-2',
      cell: { row: 0, column: 0 },
      where: 'basePressure, 1-2, row 1, column 1',
    });
  });

  it('of a fault of ours tells its request id and nothing of the fault', async () => {
    const broken = await startServer();
    try {
      broken.store.close();
      const response = await broken.app.inject({ url: '/api/v1/setup' });
      const document = response.json();
      expect(document).toMatchObject({ code: 'server.fault', status: 500 });
      expect(document.detail).toBe(`The fault is recorded under request id ${document.requestId}.`);
      expect((await broken.app.inject({ url: '/api/health/ready' })).statusCode).toBe(503);
      expect((await broken.app.inject({ url: '/api/health/live' })).statusCode).toBe(200);
    } finally {
      await broken.app.close().catch(() => undefined);
    }
  });
});
