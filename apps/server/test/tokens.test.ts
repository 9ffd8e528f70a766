import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Club, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

const DAY_MS = 24 * 3600_000;
let server: TestServer;
let club: Club;
beforeEach(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterEach(() => server.close());

const make = (body: object = {}) =>
  club.as.tester.post('/tokens', { name: 'box in the van', scopes: ['upload'], days: 30, ...body });
const secretOf = async (body: object = {}): Promise<string> => (await made(make(body))).secret;
const ask = (headers: Record<string, string>, path = '/vehicles') => club.as.noOne.get(path, headers);
const bearer = (secret: string) => ({ authorization: `Bearer ${secret}` });

describe('a personal token', () => {
  it('is shown once and kept only as a hash', async () => {
    const response = await make();
    expect(response.headers['cache-control']).toBe('no-store');
    const { secret, ...token } = response.json();
    expect(secret).toMatch(/^syncline_[\w-]{43}$/);
    expect(token).toEqual({
      id: expect.any(String),
      name: 'box in the van',
      scopes: ['upload'],
      createdAt: '2026-03-01T09:00:00.000Z',
      expiresAt: '2026-03-31T09:00:00.000Z',
      lastUsedAt: null,
    });
    expect((await made(club.as.tester.get('/tokens'))).items).toEqual([token]);
    expect(server.store.read.tokens.findByHash(secret)).toBeUndefined();
  });

  it('is not kept by the answer to an Idempotency-Key either', async () => {
    const headers = { 'idempotency-key': 'once' };
    const body = { name: 'a', scopes: ['read'], days: 1 };
    const [first, second] = [
      await club.as.tester.post('/tokens', body, headers),
      await club.as.tester.post('/tokens', body, headers),
    ];
    expect(second.headers['idempotency-replayed']).toBeUndefined();
    expect(second.json().secret).not.toBe(first.json().secret);
  });

  it.each([
    ['that never ends', { days: undefined }],
    ['for longer than a year', { days: 366 }],
    ['for no day', { days: 0 }],
    ['for nothing', { scopes: [] }],
    ['for what there is not', { scopes: ['everything'] }],
    ['for the same twice', { scopes: ['read', 'read'] }],
    ['without a name', { name: '  ' }],
  ])('is not made %s', async (_, body) => {
    expect((await make(body)).json().code).toBe('request.invalid');
  });

  it('is one of fifty at most', async () => {
    for (let i = 0; i < 50; i++) await made(make({ name: `token ${i}` }));
    expect((await make()).json()).toMatchObject({ status: 409, code: 'token.tooMany' });
  });

  it('lets a program upload in one line without cookie and origin, and the audit trail says by which token', async () => {
    const secret = await secretOf();
    const response = await server.app.inject({
      method: 'POST',
      url: `/api/v1/logs?vehicle=${club.vehicleId}&fileName=drive.csv`,
      headers: { ...bearer(secret), 'content-type': 'application/octet-stream' },
      payload: 'a,b\n1,2\n',
    });
    expect(response.statusCode).toBe(202);
    const { items } = await made(club.as.maintainer.get('/audit'));
    const [entry] = items.filter(({ action }: { action: string }) => action === 'log.add');
    expect(entry).toMatchObject({ actorName: 'Thrift (token “box in the van”)' });
    expect(server.store.read.audit.list({ limit: 5 }).items.find(({ action }) => action === 'log.add')).toMatchObject({
      actorKind: 'token',
      actorId: club.as.tester.personId,
    });
    await server.jobs.idle();
  });

  it('notes its last use to the minute', async () => {
    const secret = await secretOf();
    await ask(bearer(secret));
    server.time.nowMs += 59_000;
    await ask(bearer(secret));
    expect((await made(club.as.tester.get('/tokens'))).items[0].lastUsedAt).toBe('2026-03-01T09:00:00.000Z');
    server.time.nowMs += 2_000;
    await ask(bearer(secret));
    expect((await made(club.as.tester.get('/tokens'))).items[0].lastUsedAt).toBe('2026-03-01T09:01:01.000Z');
  });

  it('sees what its person sees and nothing of others', async () => {
    const secret = await secretOf({ scopes: ['read'] });
    const { items } = (await ask(bearer(secret))).json();
    expect(items.map(({ id }: { id: string }) => id)).toEqual([club.vehicleId]);
    expect((await ask(bearer(secret), `/vehicles/${club.otherVehicleId}`)).statusCode).toBe(404);
  });

  it('ends on its day', async () => {
    const secret = await secretOf({ days: 1 });
    server.time.nowMs += DAY_MS - 1;
    expect((await ask(bearer(secret))).statusCode).toBe(200);
    server.time.nowMs += 1;
    const late = await ask(bearer(secret));
    expect(late.json()).toMatchObject({ status: 401, code: 'token.invalid' });
    expect(late.headers['www-authenticate']).toBe('Bearer');
  });

  it('ends when it is revoked, by its person or by a maintainer', async () => {
    const [own, others] = [await made(make()), await made(make())];
    expect((await club.as.otherTester.delete(`/tokens/${own.id}`)).statusCode).toBe(404);
    expect((await club.as.tester.delete(`/tokens/${own.id}`)).statusCode).toBe(204);
    const { items } = await made(club.as.maintainer.get('/people/tokens'));
    expect(items).toMatchObject([{ id: others.id, personName: 'Thrift' }]);
    expect(items[0]).not.toHaveProperty('secret');
    expect((await club.as.maintainer.delete(`/people/tokens/${others.id}`)).statusCode).toBe(204);
    expect((await ask(bearer(own.secret))).statusCode).toBe(401);
    expect((await ask(bearer(others.secret))).statusCode).toBe(401);
    const trail = await made(club.as.maintainer.get('/audit'));
    expect(trail.items.map(({ action }: { action: string }) => action)).toEqual(
      expect.arrayContaining(['token.make', 'token.revoke']),
    );
  });
});

describe('a request with a token', () => {
  it.each([
    ['cannot make another token', 'POST', '/tokens'],
    ['cannot sign out', 'DELETE', '/session'],
    ['is no sign-in', 'GET', '/session'],
  ] as const)('%s', async (_, method, path) => {
    const client = club.as.tester.withToken(await secretOf({ scopes: ['all'] }));
    const body = method === 'POST' ? { name: 'a', scopes: ['all'], days: 1 } : undefined;
    expect((await client.send(method, path, body)).json()).toMatchObject({ status: 403, code: 'token.outOfScope' });
  });

  it('may do what any of its scopes allows', async () => {
    const client = club.as.tester.withToken(await secretOf({ scopes: ['upload', 'read'] }));
    expect((await client.get('/fleet/overview?platform=skua')).statusCode).toBe(200);
    expect((await client.upload(club.vehicleId, 'a,b\n1,2\n')).statusCode).toBe(202);
    expect((await client.patch(`/vehicles/${club.vehicleId}`, { note: 'x' })).json().code).toBe('token.outOfScope');
    await server.jobs.idle();
  });

  it.each([
    ['unknown', 'Bearer syncline_guess'],
    ['unknown, beside a good cookie', 'bearer  syncline_guess'],
  ])('that is %s is refused', async (_, authorization) => {
    const response = await club.as.tester.get('/vehicles', { authorization });
    expect(response.json()).toMatchObject({ status: 401, code: 'token.invalid' });
  });

  it('is of no consequence where nobody need sign in, and of another scheme is not ours', async () => {
    expect((await ask({ authorization: 'Bearer syncline_guess' }, '/setup')).statusCode).toBe(200);
    expect((await club.as.tester.get('/vehicles', { authorization: 'Basic YTpi' })).statusCode).toBe(200);
  });

  it('does not open the door to a write of another site that brings the cookie', async () => {
    const response = await club.as.tester.post('/tokens', undefined, {
      origin: 'https://elsewhere.test',
      authorization: 'Basic YTpi',
    });
    expect(response.json().code).toBe('session.badOrigin');
  });
});
