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

const car = (title: string) => ({ ...CAR, title });
const countCars = async () => (await made(club.as.maintainer.get('/vehicles'))).totalCount as number;

it('a write repeated with its Idempotency-Key happens once and is answered the same', async () => {
  const before = await countCars();
  const headers = { 'idempotency-key': 'once' };
  const first = await club.as.tester.post('/vehicles', car('Van'), headers);
  const again = await club.as.tester.post('/vehicles', car('Van'), headers);
  expect(first.statusCode).toBe(201);
  expect(again.statusCode).toBe(201);
  expect(again.json()).toEqual(first.json());
  expect(again.headers['idempotency-replayed']).toBe('true');
  expect(again.headers['content-type']).toBe(first.headers['content-type']);
  expect(await countCars()).toBe(before + 1);
});

it('a key belongs to the person who used it', async () => {
  const headers = { 'idempotency-key': 'mine' };
  const mine = await made(club.as.tester.post('/vehicles', car('Van'), headers));
  const theirs = await made(club.as.otherTester.post('/vehicles', car('Van'), headers));
  expect(theirs.id).not.toBe(mine.id);
});

it('a key of another request is refused', async () => {
  const headers = { 'idempotency-key': 'twice' };
  await made(club.as.tester.post('/vehicles', car('Van'), headers));
  const other = await club.as.tester.post('/vehicles', car('Pick-up'), headers);
  expect(other.json().code).toBe('request.idempotencyMismatch');
});

it('a refused write is not kept, so that it may be mended and sent again', async () => {
  const headers = { 'idempotency-key': 'mended' };
  const before = await countCars();
  const wrong = { ...car('Van'), declaredDialect: 'none' };
  expect((await club.as.tester.post('/vehicles', wrong, headers)).statusCode).toBe(400);
  expect((await club.as.tester.post('/vehicles', car('Van'), headers)).statusCode).toBe(201);
  expect(await countCars()).toBe(before + 1);
});

it('a key that is too long is refused', async () => {
  const response = await club.as.tester.post('/vehicles', car('Van'), { 'idempotency-key': 'x'.repeat(201) });
  expect(response.json().code).toBe('request.invalid');
});
