import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Client, clientOf } from './support/client.js';
import { AGREED, type Club, foundClub, made, PASSWORD } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

const DAY_MS = 24 * 3600_000;
let server: TestServer;
let club: Club;
beforeEach(async () => {
  server = await startServer({ guessLimits: { perAccount: 5, perAddress: 30, windowMs: 60_000 } });
  club = await foundClub(server);
});
afterEach(() => server.close());

const signIn = (email = 'thrift@club.test', password = PASSWORD) => club.as.noOne.post('/session', { email, password });

describe('the first run', () => {
  it('is needed until someone has set the club up', async () => {
    const fresh = await startServer();
    try {
      const guest = new Client(fresh);
      expect(await made(guest.get('/setup'))).toEqual({ isNeeded: true });
      await foundClub(fresh);
      expect(await made(guest.get('/setup'))).toEqual({ isNeeded: false });
    } finally {
      await fresh.close();
    }
  });
});

describe('a sign-in', () => {
  it('is a cookie that scripts cannot read and other sites do not send', async () => {
    const response = await signIn('THRIFT@club.test');
    expect(response.statusCode).toBe(201);
    expect(response.json()).toMatchObject({ clubName: 'Skua club', person: { name: 'Thrift', role: 'tester' } });
    expect(response.cookies[0]).toMatchObject({ name: 'syncline_session', httpOnly: true, sameSite: 'Lax', path: '/' });
    expect(response.cookies[0].secure).toBeUndefined();
  });

  it('is sent over HTTPS only where the public address is HTTPS', async () => {
    const secure = await startServer({ settings: { publicUrl: 'https://club.test' } });
    try {
      const headers = { origin: 'https://club.test' };
      const setup = { clubName: 'A', name: 'A', email: 'a@club.test', password: PASSWORD, ...AGREED };
      const response = await new Client(secure).post('/setup', setup, headers);
      expect(response.cookies[0].secure).toBe(true);
      expect(response.headers['strict-transport-security']).toBeDefined();
    } finally {
      await secure.close();
    }
  });

  it('ends when signed out', async () => {
    expect((await club.as.tester.delete('/session')).statusCode).toBe(204);
    expect((await club.as.tester.get('/session')).json().code).toBe('session.required');
  });

  it('ends when it was not used for a week, and lasts when it is used', async () => {
    const idle = clientOf(server, await signIn());
    for (let day = 0; day < 8; day++) {
      server.time.nowMs += DAY_MS;
      expect((await club.as.tester.get('/session')).statusCode).toBe(200);
    }
    expect((await idle.get('/session')).statusCode).toBe(401);
  });

  it('ends after thirty days however it is used', async () => {
    for (let day = 0; day < 29; day++) {
      server.time.nowMs += DAY_MS;
      expect((await club.as.tester.get('/session')).statusCode).toBe(200);
    }
    server.time.nowMs += DAY_MS;
    expect((await club.as.tester.get('/session')).statusCode).toBe(401);
  });

  it('is not kept as it is', async () => {
    const { cookie = '' } = club.as.tester;
    expect(server.store.read.people.findSession(cookie.split('=')[1])).toBeUndefined();
  });

  it('cannot be guessed for one account more often than allowed, right or wrong', async () => {
    for (let i = 0; i < 5; i++) expect((await signIn('thrift@club.test', 'guess')).statusCode).toBe(401);
    const refused = await signIn();
    expect(refused.json()).toMatchObject({ code: 'request.tooMany', status: 429 });
    expect(Number(refused.headers['retry-after'])).toBeGreaterThan(0);
    expect((await signIn('campion@club.test')).statusCode).toBe(201);
  });

  it('cannot be guessed from one address more often than allowed', async () => {
    const answers = [];
    for (let i = 0; i < 31; i++) answers.push((await signIn(`guess-${i}@club.test`, 'guess')).statusCode);
    expect(answers.at(-1)).toBe(429);
  });
});

describe('a write', () => {
  it.each([
    ['from the pages of this server', 'http://club.test', 201],
    ['from the host that it asks', 'http://localhost:80', 201],
    ['from another site', 'https://elsewhere.test', 403],
    ['from no site at all', undefined, 403],
    ['from a page without an origin', 'null', 403],
  ])('with a sign-in is judged by where it comes from: %s', async (_, origin, status) => {
    const response = await server.app.inject({
      method: 'POST',
      url: '/api/v1/invitations',
      headers: { cookie: club.as.maintainer.cookie, host: 'localhost', ...(origin && { origin }) },
      payload: { role: 'tester' },
    });
    expect(response.statusCode).toBe(status);
  });
});

describe('an invitation', () => {
  it('is good once, for the role that it names', async () => {
    const { path } = await made(club.as.maintainer.post('/invitations', { role: 'reviewer', note: 'for Orache' }));
    const secret = path.replace('/join/', '');
    expect(await made(club.as.noOne.get(`/invitations/${secret}`))).toMatchObject({
      role: 'reviewer',
      clubName: 'Skua club',
    });
    const person = { name: 'Orache', email: 'orache@club.test', password: PASSWORD, ...AGREED };
    const accepted = await club.as.noOne.post(`/invitations/${secret}/accept`, person);
    expect(accepted.json().person).toMatchObject({ name: 'Orache', role: 'reviewer' });
    const again = await club.as.noOne.post(`/invitations/${secret}/accept`, { ...person, email: 'other@club.test' });
    expect(again.json().code).toBe('invitation.invalid');
  });

  it('is not used up by someone whose address is taken', async () => {
    const { path } = await made(club.as.maintainer.post('/invitations', { role: 'tester' }));
    const url = `/invitations/${path.replace('/join/', '')}/accept`;
    const person = { name: 'Orache', email: 'thrift@club.test', password: PASSWORD, ...AGREED };
    expect((await club.as.noOne.post(url, person)).json().code).toBe('person.emailTaken');
    expect((await club.as.noOne.post(url, { ...person, email: 'orache@club.test' })).statusCode).toBe(201);
  });

  it('runs out', async () => {
    const { path, expiresAt } = await made(club.as.maintainer.post('/invitations', { role: 'tester' }));
    server.time.nowMs = Date.parse(expiresAt) + 1;
    expect((await club.as.noOne.get(`/invitations/${path.replace('/join/', '')}`)).json().code).toBe(
      'invitation.invalid',
    );
  });
});
