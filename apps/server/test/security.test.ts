import { localPath, mayDo, type Permission } from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { networkOf } from '../src/plugins/guess-limits.js';
import { createSealer } from '../src/services/sign-in/sealed.js';
import { Client } from './support/client.js';
import { AGREED, type Club, drive, foundClub, PASSWORD } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterAll(() => server.close());

describe('the size of a body', () => {
  /** Take files, within limits of their own. */
  const FILES = /\/v1\/logs$|\/v1\/uploads|import/;

  it('is bounded on every route, files apart', async () => {
    const taken: string[] = [];
    let tried = 0;
    for (const { method, url, access } of server.routes) {
      if (!['POST', 'PUT', 'PATCH', 'DELETE'].includes(method) || FILES.test(url)) continue;
      const role = access === 'public' || mayDo('maintainer', access as Permission) ? 'maintainer' : 'tester';
      const { statusCode } = await server.app.inject({
        method: method as 'POST',
        url: url.replace(/:\w+/g, 'x'),
        headers: {
          cookie: club.as[role].cookie,
          origin: 'http://club.test',
          'content-type': 'application/json',
          // Believed before a byte is read. More than the largest content of a calibration.
          'content-length': String(64 * 1024 * 1024),
        },
        payload: '{}',
      });
      tried += 1;
      if (statusCode !== 413) taken.push(`${method} ${url}: ${statusCode}`);
    }
    expect(taken).toEqual([]);
    expect(tried).toBeGreaterThan(40);
  });
});

describe('an uploaded file', () => {
  it('comes back as a download of no known kind, whatever it holds', async () => {
    const page = `<script>alert(1)</script>\n${syntheticDriveCsv()}`;
    const { log } = (await club.as.tester.upload(club.vehicleId, page, { fileName: 'drive.html' })).json();
    const { headers } = await club.as.tester.get(`/logs/${log.id}/original`);
    expect(headers).toMatchObject({
      'content-type': 'application/octet-stream',
      'x-content-type-options': 'nosniff',
    });
    expect(headers['content-disposition']).toMatch(/^attachment; /);
  });

  it.each(['../../etc/passwd', '..\\evil.csv', 'a\u0000b.csv', '..'])(
    'is never kept under its name, and one that is a path is refused: %j',
    async (fileName) => {
      const response = await club.as.tester.upload(club.vehicleId, syntheticDriveCsv(), { fileName });
      expect(response.json().code).toBe('request.invalid');
    },
  );

  it('names itself in the header without breaking out of it', async () => {
    const log = await drive(server, club.as.tester, club.vehicleId, `${syntheticDriveCsv()}# x\n`, {
      fileName: 'a";filename="b.html.csv',
    });
    const header = String((await club.as.tester.get(`/logs/${log.id}/original`)).headers['content-disposition']);
    expect(header.match(/filename="/g)).toHaveLength(1);
  });
});

describe('where sign-in may lead', () => {
  it.each(['/', '/logs?from=3#shift', '/people/ä', '/a//b', '/%2F%2Felsewhere.test'])('takes %s', (path) => {
    expect(localPath.safeParse(path).success).toBe(true);
    expect(new URL(path, 'https://club.test').host).toBe('club.test');
  });

  // WHATWG URL: a browser drops tabs and line ends from an address, and reads \ as /.
  it.each(['//elsewhere.test', '/\\elsewhere.test', '/\t/elsewhere.test', '/\n/elsewhere.test', 'elsewhere.test', ''])(
    'refuses %j',
    (path) => {
      expect(localPath.safeParse(path).success).toBe(false);
    },
  );
});

describe('cookies over HTTPS', () => {
  it('are bound to this host, hidden from scripts and sent over HTTPS alone', async () => {
    const secure = await startServer({ settings: { publicUrl: 'https://club.test' } });
    try {
      const body = { clubName: 'A', name: 'A', email: 'a@club.test', password: PASSWORD, ...AGREED };
      const response = await new Client(secure).post('/setup', body, { origin: 'https://club.test' });
      const [header] = [response.headers['set-cookie']].flat();
      expect(header).toMatch(/^__Host-syncline_session=/);
      // RFC 6265bis, 4.1.3.2: with the prefix a cookie must have Secure and Path=/, and no Domain.
      for (const part of ['Secure', 'HttpOnly', 'SameSite=Lax', 'Path=/']) expect(header).toContain(part);
      expect(header).not.toContain('Domain');
      const plain = new Client(secure, `syncline_session=${response.cookies[0].value}`);
      expect((await plain.get('/session')).statusCode).toBe(401);
    } finally {
      await secure.close();
    }
  });
});

describe('the address that guesses are counted by', () => {
  // RFC 4291, 2.2: the ways to write one address.
  it.each([
    ['192.0.2.7', '192.0.2.7'],
    ['2001:db8:1:2:3:4:5:6', '2001:db8:1:2'],
    ['2001:0db8:0001:0002::1', '2001:db8:1:2'],
    ['2001:db8::1', '2001:db8:0:0'],
    ['::1', '0:0:0:0'],
    ['fe80::1%eth0', 'fe80:0:0:0'],
    ['::ffff:192.0.2.7', '::ffff:192.0.2.7'],
  ])('of %s is %s', (address, network) => {
    expect(networkOf(address)).toBe(network);
  });
});

describe('what a browser keeps for the server', () => {
  it('comes back only as it was given out, to the purpose that gave it, in time', () => {
    let nowMs = 0;
    const [sealer, another] = [createSealer(() => nowMs), createSealer(() => nowMs)];
    const sealed = sealer.seal({ personId: 'p' }, 100);
    expect(sealer.open(sealed)).toEqual({ personId: 'p' });
    expect(another.open(sealed)).toBeUndefined();
    const [text, signature] = sealed.split('.');
    const forged = Buffer.from(JSON.stringify({ value: { personId: 'q' }, expiresAtMs: 100 })).toString('base64url');
    for (const wrong of ['', '.', text, `${forged}.${signature}`, `${text}.`, `${text}.${signature.slice(1)}`]) {
      expect(sealer.open(wrong)).toBeUndefined();
    }
    nowMs = 100;
    expect(sealer.open(sealed)).toBeUndefined();
  });
});

describe('an answer of the API', () => {
  it('is kept by no cache, unless it can never change', async () => {
    expect((await club.as.tester.get('/logs')).headers['cache-control']).toBe('no-store');
    expect((await club.as.tester.get('/session')).headers['cache-control']).toBe('no-store');
    const content = await club.as.reviewer.get(`/revisions/${club.revisionIds[0]}/content`);
    expect(content.headers['cache-control']).toContain('immutable');
  });
});

describe('pages', () => {
  it('run no script but their own files, and none is inline', async () => {
    const policy = String((await club.as.noOne.page('/')).headers['content-security-policy']);
    const directives = new Map(policy.split(';').map((part) => [part.trim().split(' ')[0], part.trim()]));
    expect(directives.get('script-src')).toBe("script-src 'self'");
    expect(directives.get('object-src')).toBe("object-src 'none'");
    expect(directives.get('base-uri')).toBe("base-uri 'self'");
    expect(policy).not.toMatch(/unsafe-eval|script-src[^;]*unsafe-inline|\*/);
  });
});
