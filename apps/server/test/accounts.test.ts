import { TERMS_VERSION } from '@syncline/contract';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Client, clientOf } from './support/client.js';
import { AGREED, type Club, foundClub, made, PASSWORD } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

const DAY_MS = 24 * 3600_000;
const NEW_PASSWORD = 'bladder campion in bloom';

let server: TestServer;
let club: Club;
beforeEach(async () => {
  server = await startServer({ guessLimits: { perAccount: 8, perAddress: 100, windowMs: 60_000 } });
  club = await foundClub(server);
});
afterEach(() => server.close());

const signIn = (email = 'thrift@club.test', password = PASSWORD) =>
  club.as.noOne.post(
    '/session',
    { email, password },
    { 'user-agent': 'Mozilla/5.0 (X11; Linux x86_64) Firefox/140.0' },
  );
const isIn = async (client: Client) => (await client.get('/session')).statusCode === 200;
const newestEntry = () => server.store.read.audit.list({ limit: 1 }).items[0];

describe('own sign-ins', () => {
  it('are listed with when, last use and browser, and the one that asks is marked', async () => {
    const second = clientOf(server, await signIn());
    server.time.nowMs += 2 * 60_000;
    const { items } = await made(second.get('/sessions'));
    expect(items).toHaveLength(2);
    expect(items[0]).toMatchObject({
      startedAt: '2026-03-01T09:00:00.000Z',
      lastUsedAt: '2026-03-01T09:02:00.000Z',
      client: expect.stringContaining('Firefox/140.0'),
      isCurrent: true,
    });
    expect(items[1].isCurrent).toBe(false);
    expect(JSON.stringify(items)).not.toContain('tokenHash');
  });

  it('end one by one, and another person finds none of them', async () => {
    const second = clientOf(server, await signIn());
    const { items } = await made(second.get('/sessions'));
    const first = items.find((session: { isCurrent: boolean }) => !session.isCurrent).id;
    expect((await club.as.otherTester.delete(`/sessions/${first}`)).statusCode).toBe(404);
    expect((await second.delete(`/sessions/${first}`)).statusCode).toBe(204);
    expect([await isIn(club.as.tester), await isIn(second)]).toEqual([false, true]);
  });

  it('are all ended by a maintainer', async () => {
    await made(club.as.maintainer.delete(`/people/${club.as.tester.personId}/sessions`));
    expect(await isIn(club.as.tester)).toBe(false);
    expect(newestEntry()).toMatchObject({ action: 'session.revokeAll', actorName: 'Marram' });
  });
});

describe('a new password', () => {
  it('needs the old one, and ends every other sign-in', async () => {
    const second = clientOf(server, await signIn());
    const change = (password: string) => second.put('/session/password', { password, newPassword: NEW_PASSWORD });
    expect((await change('a guess')).json().code).toBe('password.wrong');
    expect((await change(PASSWORD)).statusCode).toBe(204);
    expect([await isIn(second), await isIn(club.as.tester)]).toEqual([true, false]);
    expect((await signIn()).statusCode).toBe(401);
    expect((await signIn('thrift@club.test', NEW_PASSWORD)).statusCode).toBe(201);
  });

  it('is held to the rules of the set-up', async () => {
    const response = await club.as.tester.put('/session/password', { password: PASSWORD, newPassword: 'short' });
    expect(response.json()).toMatchObject({ code: 'request.invalid', fields: [{ path: 'body.newPassword' }] });
  });

  it('cannot be used to guess the old one more often than a sign-in could', async () => {
    for (let i = 0; i < 8; i++) {
      await club.as.tester.put('/session/password', { password: `guess ${i}`, newPassword: NEW_PASSWORD });
    }
    const refused = await club.as.tester.put('/session/password', { password: PASSWORD, newPassword: NEW_PASSWORD });
    expect(refused.json().code).toBe('request.tooMany');
    expect((await signIn()).json().code).toBe('request.tooMany');
  });
});

describe('a link for a new password', () => {
  const linkFor = async (client: Client) => {
    const { path } = await made(club.as.maintainer.post(`/people/${client.personId}/reset-link`));
    return path.replace('/reset/', '/resets/');
  };

  it('works once, ends every sign-in and signs nobody in', async () => {
    const path = await linkFor(club.as.tester);
    expect(await made(club.as.noOne.get(path))).toMatchObject({ name: 'Thrift', clubName: 'Skua club' });
    const response = await club.as.noOne.post(path, { newPassword: NEW_PASSWORD });
    expect(response.statusCode).toBe(204);
    expect(response.cookies).toEqual([]);
    expect(await isIn(club.as.tester)).toBe(false);
    expect((await signIn('thrift@club.test', NEW_PASSWORD)).statusCode).toBe(201);
    expect((await club.as.noOne.post(path, { newPassword: PASSWORD })).json().code).toBe('reset.invalid');
  });

  it('runs out after a day', async () => {
    const path = await linkFor(club.as.tester);
    server.time.nowMs += DAY_MS;
    expect((await club.as.noOne.get(path)).json().code).toBe('reset.invalid');
  });

  it('takes the place of the one before', async () => {
    const first = await linkFor(club.as.tester);
    await linkFor(club.as.tester);
    expect((await club.as.noOne.get(first)).json().code).toBe('reset.invalid');
  });

  it('cannot be guessed from one address more often than allowed', async () => {
    const answers = [];
    for (let i = 0; i < 101; i++) answers.push((await club.as.noOne.get(`/resets/guess-${i}`)).statusCode);
    expect(answers[50]).toBe(404);
    expect(answers.at(-1)).toBe(429);
  });

  it('is kept by nothing that could be read later', async () => {
    const { path } = await made(
      club.as.maintainer.post(`/people/${club.as.tester.personId}/reset-link`, undefined, { 'idempotency-key': 'k' }),
    );
    const secret = path.replace('/reset/', '');
    expect(server.store.idempotency.find(club.as.maintainer.personId ?? '', 'k')).toBeUndefined();
    expect(JSON.stringify(server.store.read.audit.list({ limit: 1000 }))).not.toContain(secret);
  });
});

describe('a suspended person', () => {
  const suspend = () => club.as.maintainer.put(`/people/${club.as.tester.personId}/suspension`, { reason: 'lost car' });

  it('comes in neither by sign-in nor by token, until a maintainer says so', async () => {
    const { secret } = await made(club.as.tester.post('/tokens', { name: 'script', scopes: ['all'], days: 1 }));
    const program = club.as.tester.withToken(secret);
    expect((await made(suspend())).suspendedAt).toBe('2026-03-01T09:00:00.000Z');
    expect(await isIn(club.as.tester)).toBe(false);
    expect((await program.get('/logs')).json().code).toBe('token.invalid');
    expect((await signIn()).json().code).toBe('session.suspended');
    expect((await signIn('thrift@club.test', 'a guess')).json().code).toBe('session.badCredentials');
    expect(newestEntry()).toMatchObject({
      action: 'person.suspend',
      detail: 'Thrift: lost car',
      before: { isSuspended: false },
      after: { isSuspended: true },
    });
    await made(club.as.maintainer.delete(`/people/${club.as.tester.personId}/suspension`));
    expect((await signIn()).statusCode).toBe(201);
    expect((await program.get('/logs')).statusCode).toBe(200);
  });

  it('is never oneself, so that a maintainer is always left', async () => {
    const own = club.as.maintainer.personId;
    expect((await club.as.maintainer.put(`/people/${own}/suspension`, {})).json().code).toBe('person.isYourself');
  });
});

describe('the terms', () => {
  it('are agreed to on joining, with version and time', async () => {
    const { items } = await made(club.as.reviewer.get('/people'));
    for (const person of items) {
      expect(person).toMatchObject({ consentVersion: TERMS_VERSION, consentAt: '2026-03-01T09:00:00.000Z' });
    }
    const { path } = await made(club.as.maintainer.post('/invitations', { role: 'tester' }));
    const person = { name: 'Orache', email: 'orache@club.test', password: PASSWORD };
    const url = `/invitations/${path.replace('/join/', '')}/accept`;
    expect((await club.as.noOne.post(url, person)).json().code).toBe('request.invalid');
    const older = { ...person, ...AGREED, termsVersion: TERMS_VERSION - 1 };
    expect((await club.as.noOne.post(url, older)).json().fields[0].path).toBe('body.termsVersion');
  });

  it('that a member has not agreed to keep her from writing, not from reading, until she does', async () => {
    const personId = club.as.tester.personId ?? '';
    const { secret } = await made(club.as.tester.post('/tokens', { name: 'script', scopes: ['all'], days: 1 }));
    const actor = { kind: 'system', id: null, name: 'test', requestId: 'r' } as const;
    server.store.people.consent({ actor, personId, version: TERMS_VERSION - 1 });
    expect((await made(club.as.tester.get('/session'))).needs.consent).toBe(true);
    const write = (client: Client) => client.patch(`/vehicles/${club.vehicleId}`, { note: 'new tyres' });
    expect((await write(club.as.tester)).json().code).toBe('session.consentNeeded');
    expect((await write(club.as.tester.withToken(secret))).json().code).toBe('session.consentNeeded');
    expect((await club.as.tester.get('/vehicles')).statusCode).toBe(200);
    expect((await made(club.as.tester.post('/session/consent', AGREED))).needs.consent).toBe(false);
    expect((await write(club.as.tester)).statusCode).toBe(200);
  });
});
