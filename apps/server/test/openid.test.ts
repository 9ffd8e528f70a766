import type { LightMyRequestResponse } from 'fastify';
import { HOTP, Secret } from 'otpauth';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Client } from './support/client.js';
import { AGREED, type Club, foundClub, made, PASSWORD } from './support/club.js';
import { OpenIdProvider } from './support/openid-provider.js';
import { PUBLIC_URL, startServer, type TestServer } from './support/server.js';

let provider: OpenIdProvider;
let server: TestServer;
let club: Club;
beforeEach(async () => {
  provider = await OpenIdProvider.start();
  server = await startServer({ settings: { openId: provider.settings } });
  club = await foundClub(server);
});
afterEach(async () => {
  await server.close();
  await provider.close();
});

const cookiesOf = (response: LightMyRequestResponse) =>
  response.cookies
    .filter(({ value }) => value !== '')
    .map(({ name, value }) => `${name}=${value}`)
    .join('; ');

/** What a browser does up to the moment at which the provider sends it back. */
async function visitProvider(body: object = {}): Promise<{ cookie: string; back: string }> {
  const begun = await club.as.noOne.post('/openid/begin', body);
  const { location } = await made(Promise.resolve(begun));
  const answer = await fetch(location, { redirect: 'manual' });
  return { cookie: cookiesOf(begun), back: String(answer.headers.get('location')).replace(PUBLIC_URL, '') };
}

const comeBack = ({ cookie, back }: { cookie: string; back: string }) =>
  server.app.inject({ url: back, headers: { cookie } });

/** The whole way: where the browser ends, and who it is then. */
async function signIn(body: object = {}) {
  const response = await comeBack(await visitProvider(body));
  const client = new Client(server, cookiesOf(response));
  const session = await client.get('/session');
  return {
    location: String(response.headers.location).replace(PUBLIC_URL, ''),
    person: session.statusCode === 200 ? session.json().person : null,
    cookie: cookiesOf(response),
    client,
  };
}

const refusedWith = (code: string) => ({ location: `/sign-in?problem=${code}`, person: null });
const actions = () => server.store.read.audit.list({ limit: 50 }).items.map(({ action }) => action);

describe('sign-in by a provider', () => {
  it('lets in whose verified e-mail address the club knows, and opens the page that was asked for', async () => {
    expect(await made(club.as.noOne.get('/openid'))).toEqual({ name: 'Shore accounts' });
    expect(await signIn({ to: '/logs?from=3' })).toMatchObject({
      location: '/logs?from=3',
      person: { name: 'Thrift' },
    });
    expect(actions().slice(0, 2)).toEqual(['session.start', 'person.linkOpenId']);
  });

  it('knows a person by her subject from then on, whatever her address', async () => {
    await signIn();
    provider.identity = { sub: 'subject-1', email: 'new@elsewhere.test', email_verified: true };
    expect((await signIn()).person).toMatchObject({ name: 'Thrift' });
  });

  it.each([
    ['an address that the provider has not verified', { email: 'thrift@club.test', email_verified: false }],
    ['an address without a word on whether it is verified', { email: 'thrift@club.test' }],
    ['a stranger', { email: 'stranger@elsewhere.test', email_verified: true }],
    ['nobody in particular', {}],
  ])('keeps out %s, and makes nobody a member', async (_who, claims) => {
    provider.identity = { sub: 'subject-9', ...claims };
    const before = (await made(club.as.maintainer.get('/people'))).totalCount;
    expect(await signIn()).toMatchObject(refusedWith('openId.unknown'));
    expect((await made(club.as.maintainer.get('/people'))).totalCount).toBe(before);
  });

  it('keeps out a suspended person', async () => {
    await made(club.as.maintainer.put(`/people/${club.as.tester.personId}/suspension`, {}));
    expect(await signIn()).toMatchObject(refusedWith('session.suspended'));
  });

  // OpenID Connect Core 1.0, 3.1.3.7: what a client has to check of an id token.
  it.each([
    ['another issuer', { iss: 'https://elsewhere.test' }],
    ['another audience', { aud: 'another-client' }],
    ['another nonce', { nonce: 'replayed' }],
    ['an expiry that is over', { exp: 1 }],
  ])('refuses an id token with %s', async (_what, forged) => {
    provider.forged = forged;
    expect(await signIn()).toMatchObject(refusedWith('openId.refused'));
  });

  it('refuses an id token signed with another key', async () => {
    provider.hasStolenName = true;
    expect(await signIn()).toMatchObject(refusedWith('openId.refused'));
  });

  it('refuses an answer to another attempt: state and verifier belong to the browser', async () => {
    const [mine, other] = [await visitProvider(), await visitProvider()];
    const crossed = await comeBack({ cookie: mine.cookie, back: other.back });
    expect(crossed.headers.location).toBe(`${PUBLIC_URL}/sign-in?problem=openId.refused`);
    const bare = await comeBack({ cookie: '', back: mine.back });
    expect(bare.headers.location).toBe(`${PUBLIC_URL}/sign-in?problem=session.expired`);
    expect([crossed, bare].flatMap(({ cookies }) => cookies).filter(({ value }) => value !== '')).toEqual([]);
  });

  it('takes each code once, and an attempt for ten minutes', async () => {
    const visit = await visitProvider();
    expect((await comeBack(visit)).headers.location).toBe(`${PUBLIC_URL}/`);
    expect((await comeBack(visit)).headers.location).toContain('problem=openId.refused');
    const late = await visitProvider();
    server.time.nowMs += 10 * 60_000;
    expect((await comeBack(late)).headers.location).toContain('problem=session.expired');
  });

  it('tells when the provider cannot be reached, and goes on once it can', async () => {
    const away = await startServer({ settings: { openId: { ...provider.settings, issuer: 'http://127.0.0.1:9' } } });
    try {
      expect((await new Client(away).post('/openid/begin', {})).json().code).toBe('openId.unreachable');
    } finally {
      await away.close();
    }
  });

  it.each([
    'https://elsewhere.test/',
    '//elsewhere.test',
    '/\\elsewhere.test',
    '/\t/elsewhere.test',
    'javascript:alert(1)',
  ])('goes nowhere but to pages of ours: %s', async (to) => {
    expect((await club.as.noOne.post('/openid/begin', { to })).json().code).toBe('request.invalid');
  });

  it('is begun by our own pages alone', async () => {
    const response = await club.as.noOne.post('/openid/begin', {}, { origin: 'https://elsewhere.test' });
    expect(response.json().code).toBe('session.badOrigin');
  });

  it('is limited by address as guesses are', async () => {
    const strict = await startServer({
      settings: { openId: provider.settings },
      guessLimits: { perAccount: 5, perAddress: 3, windowMs: 60_000 },
    });
    try {
      const answers = [];
      for (let i = 0; i < 4; i++) answers.push((await new Client(strict).get('/openid/callback?code=x')).statusCode);
      expect(answers).toEqual([303, 303, 303, 429]);
    } finally {
      await strict.close();
    }
  });
});

describe('sign-in by a provider of a person with a second factor', () => {
  it('asks for its code before anybody is in', async () => {
    const { secret } = await made(club.as.tester.post('/second-factor', { password: PASSWORD }));
    const codeNow = () =>
      HOTP.generate({ secret: Secret.fromBase32(secret), counter: Math.floor(server.time.nowMs / 30_000) });
    await made(club.as.tester.post('/second-factor/confirm', { code: codeNow() }));
    server.time.nowMs += 30_000;
    const half = await signIn({ to: '/logs' });
    expect(half).toMatchObject({ location: '/sign-in?step=code&to=%2Flogs', person: null });
    const enter = (code: string, cookie = half.cookie) => new Client(server, cookie).post('/session/code', { code });
    expect((await enter('000000')).json().code).toBe('session.badCode');
    expect((await enter(codeNow(), half.cookie.replace(/=./, '=x'))).json().code).toBe('session.expired');
    expect((await enter(codeNow())).json().person.name).toBe('Thrift');
  });
});

describe('an invitation', () => {
  const invite = async () => {
    const { path } = await made(club.as.maintainer.post('/invitations', { role: 'reader' }));
    return { joining: { invitation: path.replace('/join/', ''), ...AGREED } };
  };

  it('is accepted by whom the provider vouches for, who then has no password', async () => {
    provider.identity = { sub: 'subject-2', email: 'Orache@Club.test', email_verified: true, name: 'Orache' };
    const joined = await signIn(await invite());
    expect(joined).toMatchObject({
      location: '/',
      person: { name: 'Orache', email: 'orache@club.test', role: 'reader', consentVersion: 1 },
    });
    expect((await signIn()).person).toMatchObject({ name: 'Orache' });
    for (const password of ['', ' ', PASSWORD]) {
      const response = await club.as.noOne.post('/session', { email: 'orache@club.test', password });
      expect(response.statusCode).toBeGreaterThanOrEqual(400);
    }
    expect(await made(joined.client.get('/second-factor'))).toMatchObject({ needsPassword: false });
  });

  it('is kept when the address is taken, and refused when it was used', async () => {
    const body = await invite();
    expect(await signIn(body)).toMatchObject(refusedWith('person.emailTaken'));
    provider.identity = { sub: 'subject-3', email: 'dock@club.test', email_verified: true };
    expect((await signIn(body)).person).toMatchObject({ name: 'dock', role: 'reader' });
    provider.identity = { sub: 'subject-4', email: 'rush@club.test', email_verified: true };
    expect(await signIn(body)).toMatchObject(refusedWith('invitation.invalid'));
  });

  it('is not accepted without agreeing to the terms', async () => {
    const { joining } = await invite();
    const response = await club.as.noOne.post('/openid/begin', { joining: { ...joining, hasConsented: false } });
    expect(response.json().code).toBe('request.invalid');
  });
});
