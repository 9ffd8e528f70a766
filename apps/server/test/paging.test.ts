import { afterAll, beforeAll, expect, it } from 'vitest';
import { CAR, type Club, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterAll(() => server.close());

it('a list goes on after a car with the longest name that a car may have', async () => {
  const { maintainer } = club.as;
  const title = 'A'.concat('\u3042'.repeat(199));
  await made(maintainer.post('/vehicles', { ...CAR, title }));
  const first = await made(maintainer.get('/vehicles?limit=1'));
  expect(first.items[0].title).toBe(title);
  const second = await made(maintainer.get(`/vehicles?limit=1&cursor=${first.nextCursor}`));
  expect(second.items[0].title).toBe('Camper van');
});
