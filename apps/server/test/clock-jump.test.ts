import type { LogResponse, LogSummary } from '@syncline/contract';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { clientOf } from './support/client.js';
import { type Club, drive, foundClub, made, PASSWORD } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const HOUR_MS = 3600_000;
const DAY_MS = 24 * HOUR_MS;

let server: TestServer;
let club: Club;
beforeEach(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterEach(() => server.close());

let drives = 0;
const driven = (): Promise<LogResponse> =>
  drive(server, club.as.tester, club.vehicleId, syntheticDriveCsv({ offsetRpm: ++drives }));

it('a clock that goes back loses and doubles nothing: drives are taken, analysed and listed, and it is remarked', async () => {
  const first = await driven();
  server.time.nowMs += DAY_MS;
  const second = await driven();
  server.time.nowMs -= 2 * DAY_MS;
  const third = await driven();
  for (const { state } of [first, second, third]) expect(state).toBe('ready');
  await made(club.as.tester.post(`/logs/${third.id}/notes`, { atS: 1, text: 'after the clock went back' }));
  const { items } = await made(club.as.tester.get('/logs'));
  expect(items.map(({ id }: LogSummary) => id).sort()).toEqual([first.id, second.id, third.id].sort());
  expect((await made(club.as.maintainer.get('/audit/chain'))).kind).toBe('whole');
  const { faults, remarks } = await server.store.verifyData();
  expect(faults).toEqual([]);
  expect(remarks).toContainEqual(expect.stringMatching(/^the clock went back by 172800 s before audit entry \d+$/));
});

it('a clock that goes back gives no sign-in or invitation more time than the clock takes to catch up', async () => {
  const { path } = await made(club.as.maintainer.post('/invitations', { role: 'tester' }));
  server.time.nowMs -= 3 * HOUR_MS;
  expect((await club.as.tester.get('/session')).statusCode).toBe(200);
  server.time.nowMs += 3 * HOUR_MS + 15 * DAY_MS;
  expect((await club.as.tester.get('/session')).statusCode).toBe(401);
  const late = await club.as.noOne.post(`/invitations/${path.replace('/join/', '')}/accept`, {
    name: 'Late',
    email: 'late@club.test',
    password: PASSWORD,
  });
  expect(late.statusCode).toBeGreaterThanOrEqual(400);
});

it('a clock that leaps ahead ends sign-ins, and whoever signs in again goes on, also when it is set right', async () => {
  const first = await driven();
  server.time.nowMs += 400 * DAY_MS;
  expect((await club.as.tester.get('/logs')).json()).toMatchObject({ status: 401 });
  const again = clientOf(
    server,
    await club.as.noOne.post('/session', { email: 'thrift@club.test', password: PASSWORD }),
  );
  const ahead = await drive(server, again, club.vehicleId, syntheticDriveCsv({ offsetRpm: ++drives }));
  server.time.nowMs -= 400 * DAY_MS;
  expect((await made(again.get('/logs'))).items).toHaveLength(2);
  const right = await drive(server, again, club.vehicleId, syntheticDriveCsv({ offsetRpm: ++drives }));
  expect([first.state, ahead.state, right.state]).toEqual(['ready', 'ready', 'ready']);
  expect((await server.store.verifyData()).faults).toEqual([]);
});
