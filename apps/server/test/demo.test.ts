import type { LogResponse, OverviewResponse, SignalMapDocument, VehicleSummary } from '@syncline/contract';
import { KELP_DIALECT, MARRAM_DIALECT } from '@syncline/drivetrain';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ApiClient } from '../src/demo/api-client.js';
import { seedDemo } from '../src/demo/seed-demo.js';
import { startServer, type TestServer } from './support/server.js';

const CARS = 11;
const DRIVES = 11;

let server: TestServer;
let maintainer: ApiClient;
let tester: ApiClient;
const shown: number[] = [];
beforeAll(async () => {
  server = await startServer();
  const baseUrl = await server.app.listen({ host: '127.0.0.1', port: 0 });
  const demo = await seedDemo({
    baseUrl,
    nowMs: server.time.nowMs,
    showProgress: (share) => shown.push(share),
    carCount: CARS,
    driveCount: DRIVES,
  });
  maintainer = new ApiClient(baseUrl);
  tester = new ApiClient(baseUrl);
  await maintainer.post('/session', demo.maintainer);
  await tester.post('/session', demo.tester);
});
afterAll(() => server.close());

const vehicles = async (client: ApiClient) => (await client.get<{ items: VehicleSummary[] }>('/vehicles')).items;

describe('a small demo', () => {
  it('has every drive analysed, with shifts in each', async () => {
    const { items } = await maintainer.get<{ items: LogResponse[] }>('/logs');
    expect(items.map((log) => log.state)).toEqual(Array(DRIVES).fill('ready'));
    expect(Math.min(...items.map((log) => log.shiftCount))).toBeGreaterThan(0);
    expect(items.every((log) => log.revisionLabel !== null)).toBe(true);
    expect(await maintainer.get<OverviewResponse>('/fleet/overview?platform=tern-6')).toMatchObject({
      vehicles: CARS,
      logs: DRIVES,
      waitingLogs: 0,
    });
  });

  it('lies in the past, the last drive on the day before', async () => {
    const { items } = await maintainer.get<{ items: LogResponse[] }>('/logs');
    const newest = Math.max(...items.map((log) => Date.parse(log.drivenAt)));
    expect(new Date(newest).toISOString().slice(0, 10)).toBe('2026-02-28');
  });

  it('shows progress from nothing to all', () => {
    expect(shown[0]).toBe(0);
    expect(shown.at(-1)).toBe(1);
    expect(shown).toEqual([...shown].sort((a, b) => a - b));
  });

  it('has one car whose label lies', async () => {
    const verdicts = (await vehicles(maintainer)).map((car) => car.dialectVerdict);
    expect(verdicts.filter((verdict) => verdict === 'contradicted')).toHaveLength(1);
    expect(verdicts.filter((verdict) => verdict === 'confirmed')).toHaveLength(CARS - 1);
  });

  it('shows its tester one car', async () => {
    expect(await vehicles(tester)).toHaveLength(1);
  });

  it.each([KELP_DIALECT, MARRAM_DIALECT])('has every signal of the $title mapped', async ({ columns }) => {
    const maps = await Promise.all(
      (await vehicles(maintainer)).map((car) =>
        maintainer.get<{ map: SignalMapDocument }>(`/vehicles/${car.id}/signal-map`),
      ),
    );
    const logged = columns.flatMap((column) => (column.kind === 'signal' ? [column.signal] : [])).sort();
    const mapped = maps.map(({ map }) => map.signals.map((entry) => entry.signal).sort());
    expect(mapped).toContainEqual(logged);
  });
});
