import { afterAll, beforeAll, expect, it } from 'vitest';
import { calibrationThings } from './support/calibration-cases.js';
import { clientOf } from './support/client.js';
import { type Club, drive, foundClub, made, PASSWORD } from './support/club.js';
import { requestThings } from './support/request-cases.js';
import { ROUTE_CASES, type Things } from './support/routes.js';
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
  things = {
    club,
    logId: log.id,
    shiftId: 'not needed',
    unique,
    ...(await calibrationThings(server, club, unique)),
    ...(await requestThings(server, club, club.as.maintainer)),
    invitation: async () =>
      (await made(club.as.maintainer.post('/invitations', { role: 'tester' }))).path.replace('/join/', ''),
  };
});
afterAll(() => server.close());

const entries = () => server.store.read.audit.list({ limit: 1000 }).items;

/** Writes that the table calls so that they are refused; the set-up has its own test. */
const REFUSED = [
  'POST /api/v1/setup',
  'POST /api/v1/platforms/:platformId/layouts',
  'POST /api/v1/platforms/:platformId/dialects/:dialectId/learn',
];
/** Happen every few seconds while somebody edits; what comes of it has an entry. */
const QUIET = ['PUT /api/v1/drafts/:draftId/content', 'POST /api/v1/drafts/:draftId/lock'];

const WRITES = Object.keys(ROUTE_CASES).filter((name) => !name.startsWith('GET') && !REFUSED.includes(name));

it.each(WRITES)('%s leaves one entry, or none where it happens all the time', async (name) => {
  const client = name.startsWith('DELETE')
    ? clientOf(server, await club.as.noOne.post('/session', { email: 'marram@club.test', password: PASSWORD }))
    : club.as.maintainer;
  const response = await ROUTE_CASES[name].call(client, things);
  expect(response).toMatchObject({ statusCode: ROUTE_CASES[name].success });
  // What the call needed first was made by other requests.
  const requestId = response.headers['x-request-id'];
  expect(entries().filter((entry) => entry.requestId === requestId)).toHaveLength(QUIET.includes(name) ? 0 : 1);
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
