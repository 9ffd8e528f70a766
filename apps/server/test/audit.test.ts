import { afterAll, beforeAll, expect, it } from 'vitest';
import { accountThings } from './support/account-cases.js';
import { calibrationThings } from './support/calibration-cases.js';
import { type Client, clientOf } from './support/client.js';
import { type Club, drive, foundClub, made, PASSWORD } from './support/club.js';
import { proposalThings } from './support/proposal-cases.js';
import { releaseThings } from './support/release-cases.js';
import { requestThings } from './support/request-cases.js';
import { beginUpload, ROUTE_CASES, type Things } from './support/routes.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

let server: TestServer;
let club: Club;
let things: Things;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  const log = await drive(server, club.as.tester, club.vehicleId, syntheticDriveCsv());
  let count = 0;
  const unique = () => `thing-${++count}`;
  const { maintainer, tester } = club.as;
  things = {
    club,
    logId: log.id,
    shiftId: 'not needed',
    unique,
    ...(await calibrationThings(server, club, unique)),
    ...(await proposalThings(server, club, club.as.maintainer)),
    ...(await requestThings(server, club, club.as.maintainer)),
    ...(await releaseThings(club, club.as.maintainer)),
    ...(await accountThings(server, { maintainer, unique })),
    invitation: async () =>
      (await made(maintainer.post('/invitations', { role: 'tester' }))).path.replace('/join/', ''),
    upload: async () => {
      const { headers } = await tester.post('/uploads', undefined, beginUpload(club.vehicleId));
      return String(headers.location).replace('uploads/', '');
    },
    run: async () => {
      const { id } = await made(maintainer.post('/analysis-runs', { platform: 'skua' }));
      await server.jobs.idle();
      return id;
    },
    token: async () => (await made(tester.post('/tokens', { name: 'a script', scopes: ['all'], days: 1 }))).id,
  };
});
afterAll(() => server.close());

const entries = () => server.store.read.audit.list({ limit: 1000 }).items;

/** Writes that the table calls so that they are refused; the set-up has its own test. */
const REFUSED = [
  'POST /api/v1/setup',
  'PUT /api/v1/session/password',
  'POST /api/v1/session/code',
  'POST /api/v1/session/erasure',
  'POST /api/v1/second-factor/confirm',
  'POST /api/v1/second-factor/recovery-codes',
  'DELETE /api/v1/people/:personId/second-factor',
  'POST /api/v1/openid/begin',
  'POST /api/v1/platforms/:platformId/layouts',
  'POST /api/v1/platforms/:platformId/dialects/:dialectId/learn',
];
/** Happen all the time, or change nothing; what comes of them has an entry. */
const QUIET = [
  'POST /api/v1/second-factor',
  'POST /api/v1/proposals/:proposalId/preview',
  'POST /api/v1/drafts/:draftId/preview',
  'PUT /api/v1/drafts/:draftId/content',
  'POST /api/v1/drafts/:draftId/lock',
  'POST /api/v1/uploads',
  'POST /api/v1/uploads/known',
  'PATCH /api/v1/uploads/:uploadId',
  'DELETE /api/v1/uploads/:uploadId',
];
/** Two acts: a new policy begins a run that grades by it, a proposal a draft. */
const TWOFOLD = ['POST /api/v1/proposals/:proposalId/drafts', 'POST /api/v1/platforms/:platformId/policies'];
/** About what only its owner sees. */
const PERSONAL = /\/uploads\/:uploadId|\/v1\/tokens\/:tokenId|\/v1\/sessions\/:sessionId/;

const WRITES = Object.keys(ROUTE_CASES).filter((name) => !/^(GET|OPTIONS)/.test(name) && !REFUSED.includes(name));

/** Another sign-in for what may end the one that it is asked with. */
async function clientFor(name: string): Promise<Client> {
  if (PERSONAL.test(name)) return club.as.tester;
  if (!name.startsWith('DELETE')) return club.as.maintainer;
  return clientOf(server, await club.as.noOne.post('/session', { email: 'marram@club.test', password: PASSWORD }));
}

it.each(WRITES)('%s leaves its entry, or none where it happens all the time', async (name) => {
  const client = await clientFor(name);
  const response = await ROUTE_CASES[name].call(client, things);
  expect(response).toMatchObject({ statusCode: ROUTE_CASES[name].success });
  // What the call needed first was made by other requests.
  const requestId = response.headers['x-request-id'];
  const expected = QUIET.includes(name) ? 0 : TWOFOLD.includes(name) ? 2 : 1;
  expect(entries().filter((entry) => entry.requestId === requestId)).toHaveLength(expected);
  await server.jobs.idle();
});

it.each([
  ['club.setUp', 1],
  ['platform.addLayout', 2],
])('has the entries of %s, which the club began with', (action, count) => {
  expect(entries().filter((entry) => entry.action === action)).toHaveLength(count);
});

it('holds no secret', () => {
  const text = JSON.stringify(entries());
  expect(text).not.toContain(PASSWORD);
  expect(text).not.toContain('argon2');
});
