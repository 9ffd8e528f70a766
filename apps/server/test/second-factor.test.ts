import { HOTP, Secret, TOTP } from 'otpauth';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { hashRecoveryCode, newRecoveryCodes } from '../src/services/sign-in/recovery-codes.js';
import { matchingStep, totpUri } from '../src/services/sign-in/totp.js';
import { type Client, clientOf } from './support/client.js';
import { type Club, foundClub, made, PASSWORD } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

/** RFC 6238, appendix B: seconds, algorithm, code of eight digits. */
const RFC_6238: readonly (readonly [number, string, string])[] = [
  [59, 'SHA1', '94287082'],
  [59, 'SHA256', '46119246'],
  [59, 'SHA512', '90693936'],
  [1111111109, 'SHA1', '07081804'],
  [1111111109, 'SHA256', '68084774'],
  [1111111109, 'SHA512', '25091201'],
  [1111111111, 'SHA1', '14050471'],
  [1111111111, 'SHA256', '67062674'],
  [1111111111, 'SHA512', '99943326'],
  [1234567890, 'SHA1', '89005924'],
  [1234567890, 'SHA256', '91819424'],
  [1234567890, 'SHA512', '93441116'],
  [2000000000, 'SHA1', '69279037'],
  [2000000000, 'SHA256', '90698825'],
  [2000000000, 'SHA512', '38618901'],
  [20000000000, 'SHA1', '65353130'],
  [20000000000, 'SHA256', '77737706'],
  [20000000000, 'SHA512', '47863826'],
];
/** The seeds of the appendix are the digits in a row, as long as the hash. */
const SEED_LENGTH: Readonly<Record<string, number>> = { SHA1: 20, SHA256: 32, SHA512: 64 };
const seed = (length: number) => Secret.fromLatin1('1234567890'.repeat(7).slice(0, length));

describe('codes by time (RFC 6238)', () => {
  it.each(RFC_6238)('at %i s with %s are %s', (seconds, algorithm, code) => {
    const totp = new TOTP({ secret: seed(SEED_LENGTH[algorithm]), algorithm, digits: 8, period: 30 });
    expect(totp.generate({ timestamp: seconds * 1000 })).toBe(code);
  });

  // The codes of six digits are the last six of the eight, RFC 4226, 5.3.
  it.each(RFC_6238.filter(([, algorithm]) => algorithm === 'SHA1'))(
    'are taken here at %i s, one step before and one after, and no further',
    (seconds, _algorithm, code) => {
      const secret = seed(20).base32;
      const step = Math.floor(seconds / 30);
      const at = (offsetS: number) => matchingStep(secret, code.slice(2), (seconds + offsetS) * 1000);
      expect([at(-30), at(0), at(30)]).toEqual([step, step, step]);
      expect([at(-60), at(60)]).toEqual([undefined, undefined]);
    },
  );

  it.each(['', '12345', '1234567', 'abcdef', '１２３４５６'])('are no such thing as "%s"', (code) => {
    expect(matchingStep(seed(20).base32, code, 0)).toBeUndefined();
  });

  it('are set up by an address that apps know', () => {
    const uri = new URL(totpUri({ secret: 'GEZDGNBV', issuer: 'Skua club', label: 'thrift@club.test' }));
    expect(uri.protocol).toBe('otpauth:');
    expect(Object.fromEntries(uri.searchParams)).toMatchObject({ secret: 'GEZDGNBV', issuer: 'Skua club' });
  });
});

describe('recovery codes', () => {
  it('are ten different ones, kept as hashes, and read however they are typed', () => {
    const { codes, codeHashes } = newRecoveryCodes();
    expect(new Set(codes).size).toBe(10);
    expect(codes[0]).toMatch(/^([a-z2-7]{4}-){5}[a-z2-7]{4}$/);
    expect(hashRecoveryCode(` ${codes[0].toUpperCase().replaceAll('-', ' ')} `)).toBe(codeHashes[0]);
  });
});

const WINDOW_MS = 60_000;
let server: TestServer;
let club: Club;
beforeEach(async () => {
  server = await startServer({ guessLimits: { perAccount: 12, perAddress: 100, windowMs: WINDOW_MS } });
  club = await foundClub(server);
});
afterEach(() => server.close());

const codeNow = (secret: string) =>
  HOTP.generate({ secret: Secret.fromBase32(secret), counter: Math.floor(server.time.nowMs / 30_000) });

/** Adds an authenticator app; the clock then stands at the next code. */
async function enrol(client: Client): Promise<{ secret: string; codes: string[] }> {
  const { secret } = await made(client.post('/second-factor', { password: PASSWORD }));
  const { codes } = await made(client.post('/second-factor/confirm', { code: codeNow(secret) }));
  server.time.nowMs += 30_000;
  return { secret, codes };
}

const signIn = (code?: string) =>
  club.as.noOne.post('/session', { email: 'thrift@club.test', password: PASSWORD, ...(code && { code }) });

describe('a second factor', () => {
  it('is asked for once a code has proved it, and lets in with a code', async () => {
    await made(club.as.tester.post('/second-factor', { password: PASSWORD }));
    expect((await signIn()).statusCode).toBe(201);
    const { secret } = await enrol(club.as.tester);
    expect((await signIn()).json().code).toBe('session.codeNeeded');
    expect((await signIn('000000')).json().code).toBe('session.badCode');
    const entered = await signIn(codeNow(secret));
    expect(entered.statusCode).toBe(201);
    expect(entered.json().person.hasSecondFactor).toBe(true);
  });

  it('is not told of to who lacks the password', async () => {
    await enrol(club.as.tester);
    const response = await club.as.noOne.post('/session', { email: 'thrift@club.test', password: 'a guess' });
    expect(response.json().code).toBe('session.badCredentials');
  });

  // RFC 6238, 5.2
  it('takes no code twice', async () => {
    const { secret } = await enrol(club.as.tester);
    const code = codeNow(secret);
    expect((await signIn(code)).statusCode).toBe(201);
    expect((await signIn(code)).json().code).toBe('session.badCode');
    server.time.nowMs += 30_000;
    expect((await signIn(code)).json().code).toBe('session.badCode');
    expect((await signIn(codeNow(secret))).statusCode).toBe(201);
  });

  it('takes each recovery code once, and says how many are left', async () => {
    const { codes } = await enrol(club.as.tester);
    expect((await signIn(codes[3])).statusCode).toBe(201);
    expect((await signIn(codes[3])).json().code).toBe('session.badCode');
    const state = await made(club.as.tester.get('/second-factor'));
    expect(state).toMatchObject({ isOn: true, recoveryCodesLeft: 9 });
    const renewed = await made(club.as.tester.post('/second-factor/recovery-codes', { password: PASSWORD }));
    expect((await signIn(codes[4])).json().code).toBe('session.badCode');
    expect((await signIn(renewed.codes[0])).statusCode).toBe(201);
  });

  it('ends the other sign-ins when it is added, and not the one that adds it', async () => {
    const second = clientOf(server, await signIn());
    await enrol(club.as.tester);
    expect((await second.get('/session')).statusCode).toBe(401);
    expect((await club.as.tester.get('/session')).statusCode).toBe(200);
  });

  it('is neither added nor removed without the password', async () => {
    const wrong = { password: 'a guess' };
    expect((await club.as.tester.post('/second-factor', wrong)).json().code).toBe('password.wrong');
    await enrol(club.as.tester);
    expect((await club.as.tester.post('/second-factor/removal', wrong)).json().code).toBe('password.wrong');
    expect((await club.as.tester.post('/second-factor', { password: PASSWORD })).json().code).toBe(
      'secondFactor.exists',
    );
    await made(club.as.tester.post('/second-factor/removal', { password: PASSWORD }));
    expect((await signIn()).statusCode).toBe(201);
  });

  it('shares the lock-out with the password', async () => {
    const { secret } = await enrol(club.as.tester);
    for (let i = 0; i < 12; i++) await signIn(String(100_000 + i));
    expect((await signIn(codeNow(secret))).json().code).toBe('request.tooMany');
    const asked = await club.as.tester.post('/second-factor/removal', { password: PASSWORD });
    expect(asked.json().code).toBe('request.tooMany');
  });

  it('stays in the way of a link for a new password', async () => {
    await enrol(club.as.tester);
    const { path } = await made(club.as.maintainer.post(`/people/${club.as.tester.personId}/reset-link`));
    await made(club.as.noOne.post(path.replace('/reset/', '/resets/'), { newPassword: PASSWORD }));
    expect((await signIn()).json().code).toBe('session.codeNeeded');
  });

  it('that is lost is removed by a maintainer, never her own that way', async () => {
    await enrol(club.as.tester);
    await made(club.as.maintainer.delete(`/people/${club.as.tester.personId}/second-factor`));
    expect((await signIn()).statusCode).toBe(201);
    const own = await club.as.maintainer.delete(`/people/${club.as.maintainer.personId}/second-factor`);
    expect(own.json().code).toBe('person.isYourself');
  });

  it('leaves neither secret nor codes in the audit trail', async () => {
    const { secret, codes } = await enrol(club.as.tester);
    await signIn(codes[0]);
    const text = JSON.stringify(server.store.read.audit.list({ limit: 1000 }).items);
    for (const hidden of [secret, ...codes, hashRecoveryCode(codes[0])]) expect(text).not.toContain(hidden);
  });
});

describe('a club whose maintainers need a second factor', () => {
  it('shows a maintainer nothing but her account until she has one; others see what they saw', async () => {
    const strict = await startServer({ settings: { secondFactor: 'maintainers' } });
    try {
      const setup = { clubName: 'A', name: 'A', email: 'a@club.test', password: PASSWORD };
      const agreed = { hasConsented: true, termsVersion: 1 };
      const guest = club.as.noOne;
      expect((await guest.get('/openid')).statusCode).toBe(200);
      const response = await strict.app.inject({
        method: 'POST',
        url: '/api/v1/setup',
        headers: { origin: 'http://club.test' },
        payload: { ...setup, ...agreed },
      });
      const maintainer = clientOf(strict, response);
      expect(response.json().needs.secondFactor).toBe(true);
      expect((await maintainer.get('/people')).json().code).toBe('session.secondFactorNeeded');
      const { secret: token } = await made(maintainer.post('/tokens', { name: 't', scopes: ['all'], days: 1 }));
      expect((await maintainer.withToken(token).get('/people')).json().code).toBe('session.secondFactorNeeded');
      expect(await made(maintainer.get('/second-factor'))).toMatchObject({ isOn: false, isRequired: true });
      const { secret } = await made(maintainer.post('/second-factor', { password: PASSWORD }));
      const counter = Math.floor(strict.time.nowMs / 30_000);
      const code = HOTP.generate({ secret: Secret.fromBase32(secret), counter });
      await made(maintainer.post('/second-factor/confirm', { code }));
      expect((await maintainer.get('/people')).statusCode).toBe(200);
      const invitation = await made(maintainer.post('/invitations', { role: 'tester' }));
      expect(invitation.role).toBe('tester');
    } finally {
      await strict.close();
    }
  });
});
