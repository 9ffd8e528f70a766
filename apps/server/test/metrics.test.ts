import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Club, drive, foundClub } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const TOKEN = 'a-token-for-the-collector';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer({ settings: { metricsToken: TOKEN } });
  club = await foundClub(server);
  await drive(server, club.as.tester, club.vehicleId, syntheticDriveCsv());
  await club.as.noOne.page('/api/v1/invitations/a-very-secret-secret');
  await club.as.noOne.page('/api/v1/nothing/of/the/kind');
});
afterAll(() => server.close());

const read = (headers: Record<string, string> = { authorization: `Bearer ${TOKEN}` }) =>
  server.app.inject({ url: '/metrics', headers });

/** A sample of the text format (Prometheus exposition format 0.0.4): name, labels, value. */
function sampleOf(text: string, name: string): number | undefined {
  const line = text.split('\n').find((candidate) => candidate.startsWith(`${name} `));
  return line === undefined ? undefined : Number(line.slice(name.length + 1));
}

describe('the metrics', () => {
  it('are in the text format, and no cache keeps them', async () => {
    const { headers, body, statusCode } = await read();
    expect(statusCode).toBe(200);
    expect(headers['content-type']).toContain('text/plain; version=0.0.4');
    expect(headers['cache-control']).toBe('no-store');
    for (const line of body.split('\n').filter((text) => text !== '' && !text.startsWith('#'))) {
      expect(line).toMatch(/^[a-zA-Z_:][\w:]*(\{[^}]*\})? (NaN|[+-]Inf|[-+\d.e]+)$/);
    }
  });

  it('count requests by route and status, never by address', async () => {
    const { body } = await read();
    const invitations =
      'syncline_http_request_seconds_count{method="GET",route="/api/v1/invitations/:secret",status="404"}';
    expect(sampleOf(body, invitations)).toBe(1);
    expect(body).not.toContain('a-very-secret-secret');
    expect(body).not.toContain('of/the/kind');
  });

  it('tell of jobs, uploads, disk, database, event loop and readiness', async () => {
    const { body } = await read();
    expect(sampleOf(body, 'syncline_jobs{state="done"}')).toBeGreaterThanOrEqual(1);
    expect(sampleOf(body, 'syncline_job_seconds_count{kind="analyseLog",outcome="done"}')).toBe(1);
    expect(sampleOf(body, 'syncline_upload_requests_total{status="202"}')).toBe(1);
    expect(sampleOf(body, 'syncline_upload_bytes_total')).toBeGreaterThan(1000);
    expect(sampleOf(body, 'syncline_database_bytes')).toBe(server.store.status().databaseBytes);
    expect(sampleOf(body, 'syncline_disk_free_bytes')).toBeGreaterThan(0);
    expect(sampleOf(body, 'syncline_ready')).toBe(1);
    expect(sampleOf(body, 'syncline_nodejs_eventloop_lag_p99_seconds')).toBeGreaterThanOrEqual(0);
    expect(sampleOf(body, 'syncline_last_backup_timestamp_seconds')).toBe(0);
  });

  it.each<Record<string, string>>([{}, { authorization: 'Bearer wrong' }, { authorization: `Basic ${TOKEN}` }])(
    'are for who has the token: %j',
    async (headers) => {
      const response = await read(headers);
      expect({ status: response.statusCode, code: response.json().code }).toEqual({
        status: 401,
        code: 'token.invalid',
      });
      expect(response.headers['www-authenticate']).toBe('Bearer');
    },
  );

  it('are not there without a token in the settings', async () => {
    const bare = await startServer();
    try {
      const response = await bare.app.inject({ url: '/metrics', headers: { authorization: `Bearer ${TOKEN}` } });
      // Any address without a route is one of the pages, which are not built here.
      expect(response.statusCode).toBe(503);
      expect(response.body).not.toContain('syncline_');
    } finally {
      await bare.close();
    }
  });
});
