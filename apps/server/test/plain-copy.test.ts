import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { type Club, drive, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterAll(() => server.close());

/** Above the least size that has a copy, 8 MiB. */
const LARGE = syntheticDriveCsv({ rateHz: 18_000 });

it('a large log is read from its unpacked copy, which is gone afterwards, and gives the same when it is read again', async () => {
  expect(LARGE.length).toBeGreaterThan(2 ** 23);
  const taken = vi.spyOn(server.store.blobs, 'takePlain');
  const log = await drive(server, club.as.tester, club.vehicleId, LARGE);
  expect(log).toMatchObject({ state: 'ready', shiftCount: 2 });
  expect(taken.mock.results.map(({ value }) => value?.encoding)).toEqual(['stored']);
  expect(readdirSync(join(server.folder, 'data', 'scratch'))).toEqual([]);
  const shifts = await made(club.as.tester.get(`/logs/${log.id}/shifts`));
  expect((await club.as.maintainer.post(`/logs/${log.id}/analysis`)).statusCode).toBe(202);
  await server.jobs.idle();
  expect(taken.mock.results.at(-1)?.value).toBeUndefined();
  expect(await made(club.as.tester.get(`/logs/${log.id}/shifts`))).toEqual(shifts);
  expect(
    Buffer.from((await club.as.tester.get(`/logs/${log.id}/original`)).rawPayload).equals(Buffer.from(LARGE)),
  ).toBe(true);
});

it('bytes that become no log leave no copy', async () => {
  const again = Buffer.from(LARGE);
  const wrong = await club.as.tester.upload(club.vehicleId, `${LARGE}\n`, { sha256: '0'.repeat(64) });
  expect(wrong.json()).toMatchObject({ code: 'log.hashMismatch' });
  expect((await club.as.tester.upload(club.vehicleId, again)).json()).toMatchObject({ isDuplicate: true });
  expect(readdirSync(join(server.folder, 'data', 'scratch'))).toEqual([]);
});
