import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Client } from './support/client.js';
import { type Club, foundClub, made, PASSWORD } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

const METRICS_TOKEN = 'a-token-for-the-collector';
const NEW_PASSWORD = 'bladder campion and sea holly';
const WRONG_PASSWORD = 'a wrong one that was typed';

let server: TestServer;
let club: Club;
const lines: string[] = [];
/** Everything that must never be in a log, by what it is. */
const secrets = new Map<string, string>();

const secretOf = (path: string) => path.split('/').at(-1) ?? '';

beforeAll(async () => {
  server = await startServer({
    settings: { logLevel: 'trace', metricsToken: METRICS_TOKEN },
    logStream: { write: (line) => void lines.push(line) },
  });
  club = await foundClub(server);
  const { maintainer, tester, noOne } = club.as;
  secrets.set('a password', PASSWORD).set('a metrics token', METRICS_TOKEN).set('a wrong password', WRONG_PASSWORD);
  secrets.set('the cookie of a maintainer', String(maintainer.cookie?.split('=')[1]));

  const invitation = secretOf((await made(maintainer.post('/invitations', { role: 'tester' }))).path);
  secrets.set('an invitation', invitation);
  await noOne.get(`/invitations/${invitation}`);
  await noOne.page(`/join/${invitation}`);
  await noOne.post(`/invitations/${invitation}/accept`, { name: 'no address' });

  const { id, secret: token } = await made(tester.post('/tokens', { name: 'a script', scopes: ['all'], days: 1 }));
  secrets.set('an API token', token);
  await tester.withToken(token).get('/logs');
  await tester.delete(`/tokens/${id}`);
  await tester.withToken(token).get('/logs');

  const reset = secretOf((await made(maintainer.post(`/people/${tester.personId}/reset-link`))).path);
  secrets.set('a reset link', reset).set('a new password', NEW_PASSWORD);
  await noOne.get(`/resets/${reset}`);
  await noOne.page(`/reset/${reset}?and=more`);
  await noOne.post(`/resets/${reset}`, { newPassword: 'short' });
  await noOne.post(`/resets/${reset}`, { newPassword: NEW_PASSWORD });

  await noOne.post('/session', { email: 'thrift@club.test', password: WRONG_PASSWORD });
  await new Client(server, `syncline_session=${'f'.repeat(64)}`).get('/session');
  secrets.set('a cookie of nobody', 'f'.repeat(64));
  const { secret } = await made(maintainer.post('/second-factor', { password: PASSWORD }));
  secrets.set('the secret of a second factor', secret);
  await server.app.inject({ url: '/metrics', headers: { authorization: `Bearer ${METRICS_TOKEN}` } });
  // A body that is no JSON is quoted by the parser that refuses it.
  await server.app.inject({
    method: 'POST',
    url: '/api/v1/session',
    payload: `{"email":"thrift@club.test","password":"${NEW_PASSWORD}`,
    headers: { 'content-type': 'application/json', origin: 'http://club.test' },
  });
  await server.app.inject({ method: 'GET', url: `/reset/${reset}%zz` });

  // A fault of ours, with everything on it that a library may hang there.
  const err = Object.assign(new Error('a fault'), {
    password: PASSWORD,
    config: { headers: { cookie: secrets.get('the cookie of a maintainer') } },
  });
  server.app.log.error({
    event: 'test.fault',
    err,
    request: { headers: { authorization: `Bearer ${token}` }, password: PASSWORD },
  });
  server.app.log.error({ event: 'test.fault', password: PASSWORD, token, err: new Error('outer', { cause: err }) });
});
afterAll(() => server.close());

describe('the log', () => {
  it('has lines of requests, refusals and faults, else this proves nothing', () => {
    const events = new Set(lines.map((line) => JSON.parse(line).event));
    for (const event of ['request.done', 'request.keptOut', 'test.fault']) expect(events).toContain(event);
    expect(lines.length).toBeGreaterThan(30);
  });

  it.each([
    'a password',
    'a wrong password',
    'a new password',
    'a metrics token',
    'the cookie of a maintainer',
    'a cookie of nobody',
    'an invitation',
    'an API token',
    'a reset link',
    'the secret of a second factor',
  ])('never has %s in it', (what) => {
    const secret = secrets.get(what) ?? '';
    expect(secret.length).toBeGreaterThan(10);
    expect(lines.filter((line) => line.includes(secret))).toEqual([]);
  });

  it('keeps what is needed to find a fault: type, message, stack and cause', () => {
    const fault = lines.map((line) => JSON.parse(line)).findLast(({ event }) => event === 'test.fault');
    expect(fault.err).toMatchObject({ type: 'Error', message: 'outer', cause: { type: 'Error', message: 'a fault' } });
    expect(fault.err.stack).toContain('log-secrets.test.ts');
    expect(fault.password).toBe('[withheld]');
  });
});
