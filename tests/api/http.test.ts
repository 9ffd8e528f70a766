import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { TERN_PLATFORM, ternCalibration } from '@syncline/drivetrain';
import { type BuiltApp, buildApp, createIds, loadSettings } from '@syncline/server';
import { openStore, type Store } from '@syncline/store';
import supertest from 'supertest';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { driveFiles, foundTernClub, MAINTAINER, TESTER, type TernClub, waitForState } from '../support/tern-club.ts';

let folder: string;
let store: Store;
let built: BuiltApp;
let baseUrl: string;
let club: TernClub;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-http-'));
  const settings = loadSettings({ SYNCLINE_DATA: folder, SYNCLINE_LOG_LEVEL: 'silent', SYNCLINE_MIN_FREE_BYTES: '0' });
  store = openStore({ folder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
  built = await buildApp({ settings, store, clock: Date.now });
  baseUrl = await built.app.listen({ host: '127.0.0.1', port: 0 });
  club = await foundTernClub(baseUrl);
});

afterAll(async () => {
  await built?.app.close();
  store?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** A browser that keeps its cookie. */
async function signedIn(account: { email: string; password: string }) {
  const agent = supertest.agent(baseUrl);
  await agent.post('/api/v1/session').set('origin', baseUrl).send(account).expect(201);
  return agent;
}

describe('over a real connection', () => {
  it('a sign-in sets one cookie that scripts cannot read and other sites cannot send', async () => {
    const response = await supertest(baseUrl).post('/api/v1/session').set('origin', baseUrl).send(TESTER).expect(201);
    const cookies = response.get('Set-Cookie') ?? [];
    expect(cookies).toHaveLength(1);
    expect(cookies[0]).toMatch(/HttpOnly/i);
    expect(cookies[0]).toMatch(/SameSite=Lax/i);
  });

  it('a write from another site is refused although the cookie is right', async () => {
    const agent = await signedIn(TESTER);
    const response = await agent
      .post(`/api/v1/vehicles/${club.vehicleId}/installations`)
      .set('origin', 'http://elsewhere.example')
      .send({ revisionId: 'x' })
      .expect(403);
    expect(response.type).toBe('application/problem+json');
    expect(JSON.parse(response.text)).toMatchObject({ code: 'session.badOrigin', status: 403 });
  });

  it('pages come with a policy that allows no inline script', async () => {
    const response = await supertest(baseUrl).get('/').expect(200);
    const policy = response.get('Content-Security-Policy') ?? '';
    const scripts = policy.split(';').find((part) => part.trim().startsWith('script-src ')) ?? '';
    expect(scripts).toContain("'self'");
    expect(scripts).not.toContain('unsafe-inline');
  });

  it('an unknown address of the API is a problem document, one of the pages is the page itself', async () => {
    const problem = await supertest(baseUrl).get('/api/v1/nothing').expect(404);
    expect(problem.type).toBe('application/problem+json');
    const page = await supertest(baseUrl).get('/logs/some-log').set('accept', 'text/html').expect(200);
    expect(page.type).toBe('text/html');
  });

  it('the content of a revision is sent once and then recognised by its hash', async () => {
    const agent = await signedIn(MAINTAINER);
    const { body: calibrations } = await agent.get('/api/v1/calibrations').expect(200);
    const { body: calibration } = await agent.get(`/api/v1/calibrations/${calibrations.items[0].id}`).expect(200);
    const path = `/api/v1/revisions/${calibration.revisions[0].id}/content`;
    const first = await agent.get(path).expect(200);
    expect(JSON.parse(first.text)).toEqual(ternCalibration('r1'));
    const etag = first.get('ETag') ?? '';
    expect(etag).toContain(createHash('sha256').update(first.text).digest('hex'));
    await agent.get(path).set('if-none-match', etag).expect(304);
  });

  it('a gzipped log is decoded and its original is given back as it came', async () => {
    const agent = await signedIn(TESTER);
    const bytes = gzipSync(driveFiles(club.car, { count: 1, durationS: 60 })[0]!);
    const { body } = await agent
      .post(`/api/v1/logs?vehicle=${club.vehicleId}&fileName=drive.csv.gz`)
      .set('origin', baseUrl)
      .set('content-type', 'application/octet-stream')
      .send(bytes)
      .expect(202);
    await waitForState(club.tester, body.log.id, ['awaitingMap', 'ready']);
    const original = await club.tester.bytes(`/logs/${body.log.id}/original`);
    expect(Buffer.from(original).equals(bytes)).toBe(true);
  });

  it('the OpenAPI document names every resource and who may call it', async () => {
    const { body } = await supertest(baseUrl).get('/api/openapi.json').expect(200);
    expect(body.openapi).toMatch(/^3\.1/);
    const operations = Object.values(body.paths).flatMap((path) =>
      Object.values(path as Record<string, Record<string, unknown>>),
    );
    expect(operations.length).toBeGreaterThan(40);
    expect(operations.filter((operation) => operation['x-access'] === undefined)).toEqual([]);
    expect(Object.keys(body.paths)).toContain('/api/v1/fleet/matrix');
  });

  it('every role reads the platform, but only a maintainer makes one', async () => {
    const path = `/api/v1/platforms/${TERN_PLATFORM.id}`;
    const tester = await signedIn(TESTER);
    const answers = [
      await tester.get(path),
      await tester.post('/api/v1/platforms').set('origin', baseUrl).send(TERN_PLATFORM),
      await supertest(baseUrl).get(path),
    ];
    expect(answers.map(({ status }) => status)).toEqual([200, 403, 401]);
  });
});
