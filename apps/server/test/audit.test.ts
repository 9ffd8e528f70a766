import { afterAll, beforeAll, expect, it } from 'vitest';
import { clientOf } from './support/client.js';
import { type Club, drive, foundClub, made, PASSWORD } from './support/club.js';
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
  things = {
    club,
    logId: log.id,
    shiftId: 'not needed',
    unique: () => `thing-${++count}`,
    invitation: async () =>
      (await made(club.as.maintainer.post('/invitations', { role: 'tester' }))).path.replace('/join/', ''),
  };
});
afterAll(() => server.close());

const entries = () => server.store.read.audit.list({ limit: 200 }).items;

/** Writes that the table calls so that they are refused; the set-up has its own test. */
const REFUSED = ['POST /api/v1/setup', 'POST /api/v1/platforms/:platformId/layouts'];
/** Called with an invitation that is made just before, which has an entry of its own. */
const AFTER_INVITING = ['POST /api/v1/invitations/:secret/accept'];

const WRITES = Object.keys(ROUTE_CASES).filter((name) => !name.startsWith('GET') && !REFUSED.includes(name));

it.each(WRITES)('%s leaves one entry that names who did it', async (name) => {
  const before = entries().length;
  const client = name.startsWith('DELETE')
    ? clientOf(server, await club.as.noOne.post('/session', { email: 'marram@club.test', password: PASSWORD }))
    : club.as.maintainer;
  const signIns = name.startsWith('DELETE') ? 1 : 0;
  const response = await ROUTE_CASES[name].call(client, things);
  expect(response).toMatchObject({ statusCode: ROUTE_CASES[name].success });
  const expected = 1 + signIns + (AFTER_INVITING.includes(name) ? 1 : 0);
  expect(entries().length - before).toBe(expected);
  expect(entries()[0]).toMatchObject({ requestId: response.headers['x-request-id'] });
  await server.jobs.idle();
});

it.each(['club.setUp', 'platform.addLayout'])('has one entry of %s, which the club began with', (action) => {
  expect(entries().filter((entry) => entry.action === action)).toHaveLength(1);
});

it('holds no secret', () => {
  const text = JSON.stringify(entries());
  expect(text).not.toContain(PASSWORD);
  expect(text).not.toContain('argon2');
});
