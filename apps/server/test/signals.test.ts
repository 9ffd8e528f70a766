import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Club, drive, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { RATIOS, syntheticDriveCsv } from './support/synthetic-drive.js';

let server: TestServer;
let club: Club;
let logId: string;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  // A flare of 400 rpm, a few samples wide among 1201.
  logId = (await drive(server, club.as.tester, club.vehicleId, syntheticDriveCsv({ flareRpm: 400 }))).id;
});
afterAll(() => server.close());

const get = (query: string) => made(club.as.tester.get(`/logs/${logId}/signals?${query}`));

describe('the signals of a log', () => {
  it('show every sample where there is room for them', async () => {
    const answer = await get('signals=inputSpeed,outputSpeed&from=1&to=2&points=1000');
    expect(answer).toMatchObject({ isRaw: true, fromS: 1, toS: 2 });
    expect(answer.timeS).toHaveLength(101);
    const [input, output] = answer.series;
    expect(input).toMatchObject({ signal: 'inputSpeed', title: 'Input speed', unit: 'rpm' });
    for (const [i, rpm] of input.max.entries()) expect(rpm).toBeCloseTo(RATIOS[0] * output.max[i], 2);
  });

  it.each([10, 25, 100])('never hide the peak in %i points', async (points) => {
    const whole = await get('signals=inputSpeed&points=4000');
    const peak = Math.max(...whole.series[0].max);
    const answer = await get(`signals=inputSpeed&points=${points}`);
    expect(answer.isRaw).toBe(false);
    expect(answer.timeS.length).toBeLessThanOrEqual(points);
    expect(Math.max(...answer.series[0].max)).toBe(peak);
  });

  it('leave out what the log does not have', async () => {
    const { series } = await get('signals=linePressure,load');
    expect(series.map((entry: { signal: string }) => entry.signal)).toEqual(['load']);
  });

  it('are refused by a name that no signal has', async () => {
    const response = await club.as.tester.get(`/logs/${logId}/signals?signals=inputSpeed,mood`);
    expect(response.json()).toMatchObject({ code: 'request.invalid', fields: [{ path: 'querystring.signals' }] });
  });

  it('come as CSV sample by sample, with units in the header', async () => {
    const response = await club.as.tester.get(
      `/logs/${logId}/signals.csv?signals=outputSpeed,gearTarget&from=0&to=0.02`,
    );
    expect(response.headers['content-type']).toBe('text/csv; charset=utf-8');
    expect(response.body).toBe(
      'Time (s),Output speed (rpm),Target gear\r\n0,600,1\r\n0.01,600.6,1\r\n0.02,601.2,1\r\n',
    );
  });
});

describe('the shifts of a log', () => {
  it('come as CSV with as many lines as there are shifts', async () => {
    const { totalCount } = await made(club.as.tester.get(`/shifts?log=${logId}&grade=flare`));
    expect(totalCount).toBe(2);
    const response = await club.as.tester.get(`/shifts.csv?log=${logId}&grade=flare`);
    const lines = response.body.trim().split('\r\n');
    expect(lines).toHaveLength(1 + totalCount);
    expect(lines[0]).toContain('Flare (rpm)');
    expect(response.headers['content-disposition']).toContain(`shifts log=${logId} grade=flare.csv`);
  });

  it('are listed page by page, each once', async () => {
    const first = await made(club.as.tester.get('/shifts?limit=1&sort=flareRpm'));
    const second = await made(club.as.tester.get(`/shifts?limit=1&sort=flareRpm&cursor=${first.nextCursor}`));
    expect(first.totalCount).toBe(2);
    expect(first.items[0].flareRpm).toBeGreaterThanOrEqual(second.items[0].flareRpm);
    expect(second.items[0].id).not.toBe(first.items[0].id);
    expect(second.nextCursor).toBeNull();
  });

  it('can be asked for one by one, as they stand in the list', async () => {
    const { items } = await made(club.as.tester.get('/shifts'));
    expect(await made(club.as.tester.get(`/shifts/${items[0].id}`))).toEqual(items[0]);
  });
});

describe('notes', () => {
  it('are read in the order of the drive', async () => {
    for (const atS of [8.1, 4.3]) await made(club.as.tester.post(`/logs/${logId}/notes`, { atS, text: `at ${atS}` }));
    const { items } = await made(club.as.reviewer.get(`/logs/${logId}/notes`));
    expect(items.map((note: { text: string }) => note.text)).toEqual(['at 4.3', 'at 8.1']);
    expect(items[0].byName).toBe('Thrift');
  });
});
