import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { cookieScope, createUrlRewriter } from '../src/plugins/base-path.js';
import { AGREED, PASSWORD } from './support/club.js';
import { OpenIdProvider } from './support/openid-provider.js';
import { startServer, type TestServer } from './support/server.js';

const BASE = '/gearbox';
const ORIGIN = 'https://club.test';

let server: TestServer;
let provider: OpenIdProvider;
let webFolder: string;
let cookie: string;
beforeAll(async () => {
  webFolder = mkdtempSync(join(tmpdir(), 'syncline-web-'));
  mkdirSync(join(webFolder, 'assets'));
  writeFileSync(join(webFolder, 'index.html'), '<!doctype html><base href="/" /><script src="./assets/a.js"></script>');
  writeFileSync(join(webFolder, 'assets', 'a.js'), 'export {};');
  provider = await OpenIdProvider.start();
  server = await startServer({
    webFolder,
    settings: {
      publicUrl: `${ORIGIN}${BASE}`,
      basePath: `${BASE}/`,
      openId: provider.settings,
    },
  });
});
afterAll(async () => {
  await server.close();
  await provider.close();
  rmSync(webFolder, { recursive: true, force: true });
});

const send = (method: 'GET' | 'POST' | 'HEAD', url: string, payload?: object, headers: Record<string, string> = {}) =>
  server.app.inject({ method, url, payload, headers: { origin: ORIGIN, ...headers } });

describe('a server below a path', () => {
  it('answers its API there, and takes the path off whether a proxy does so or not', async () => {
    for (const url of [`${BASE}/api/health/live`, '/api/health/live'])
      expect((await send('GET', url)).statusCode).toBe(200);
    // Another address that begins alike is none of the API: a page reads it.
    expect((await send('GET', '/gearboxes/api/health/live')).body).toContain('<base href');
    expect((await send('GET', `${BASE}/api/v1/nothing`)).json().code).toBe('resource.notFound');
  });

  it('tells the page below which path it is, and serves what that asks for', async () => {
    for (const url of [BASE, `${BASE}/`, `${BASE}/fleet?kind=1-2`, `${BASE}?a=1`]) {
      const page = await send('GET', url);
      expect(page.body).toContain(`<base href="${BASE}/" />`);
      expect(page.headers['cache-control']).toBe('no-cache');
      expect(page.headers['content-type']).toContain('text/html');
    }
    expect((await send('GET', `${BASE}/assets/a.js`)).headers['cache-control']).toContain('immutable');
  });

  it('sets a cookie that is sent to nothing else of the host', async () => {
    const person = { clubName: 'Shore', name: 'Marram', email: 'marram@club.test', password: PASSWORD, ...AGREED };
    const response = await send('POST', `${BASE}/api/v1/setup`, person);
    expect(response.statusCode).toBe(201);
    const [set] = [response.headers['set-cookie']].flat().map(String);
    expect(set).toMatch(/^__Secure-syncline_session=/);
    expect(set).toMatch(/; Path=\/gearbox\/;/);
    expect(set).toMatch(/; Secure/);
    cookie = set.split(';')[0];
    expect((await send('GET', `${BASE}/api/v1/session`, undefined, { cookie })).statusCode).toBe(200);
  });

  it('sends a browser back from a provider to addresses below the path', async () => {
    const begun = await send('POST', `${BASE}/api/v1/openid/begin`, {});
    const { location } = begun.json();
    expect(new URL(location).searchParams.get('redirect_uri')).toBe(`${ORIGIN}${BASE}/api/v1/openid/callback`);
    const back = await send('GET', `${BASE}/api/v1/openid/callback?code=1`);
    expect(back.statusCode).toBe(303);
    expect(back.headers.location).toMatch(/^https:\/\/club\.test\/gearbox\/sign-in\?problem=/);
  });

  it('names uploads by an address that holds below the path too', async () => {
    const headers = { cookie, 'tus-resumable': '1.0.0', 'upload-length': '5' };
    const metadata = { 'upload-metadata': `vehicle ${btoa('none')},fileName ${btoa('a.csv')}` };
    const response = await send('POST', `${BASE}/api/v1/uploads`, undefined, { ...headers, ...metadata });
    // There is no such car; what matters is that the route is reached.
    expect(response.json().code).toBe('resource.notFound');
    expect(response.json().detail).not.toContain('There is nothing at');
  });
});

describe('the base path', () => {
  it.each([
    ['/', '/fleet', '/fleet'],
    ['/a/b/', '/a/b/fleet?x=1', '/fleet?x=1'],
    ['/a/b/', '/a/b', '/'],
    ['/a/b/', '/a/b?x=1', '/?x=1'],
    ['/a/b/', '/a/bc', '/a/bc'],
    ['/a/b/', '/fleet', '/fleet'],
  ])('%s taken off %s leaves %s', (basePath, url, rest) => {
    expect(createUrlRewriter(basePath)({ url } as never)).toBe(rest);
  });

  // RFC 6265bis section 4.1.3: __Host- demands Secure and Path=/, __Secure- demands Secure.
  it.each([
    [true, '/', '__Host-'],
    [true, '/a/', '__Secure-'],
    [false, '/', ''],
    [false, '/a/', ''],
  ])('over HTTPS %s and %s begins the names of cookies with "%s"', (isHttps, basePath, prefix) => {
    expect(cookieScope({ isHttps, basePath })).toEqual({ prefix, path: basePath, isSecure: isHttps });
  });
});
