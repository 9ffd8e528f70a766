import type {
  Application,
  CalibrationResponse,
  Comment,
  DraftResponse,
  DriveRequest,
  LogResponse,
  OverviewResponse,
  ProposalResponse,
  ProposalsResponse,
  Review,
  SignalMapDocument,
  VehicleDialectResponse,
  VehicleSummary,
} from '@syncline/contract';
import { KELP_DIALECT, MARRAM_DIALECT } from '@syncline/drivetrain';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ApiClient } from '../src/demo/api-client.js';
import { seedDemo } from '../src/demo/seed-demo.js';
import { startServer, type TestServer } from './support/server.js';

const CARS = 11;
const DRIVES = 11;

let server: TestServer;
let maintainer: ApiClient;
let reviewer: ApiClient;
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
  reviewer = new ApiClient(baseUrl);
  tester = new ApiClient(baseUrl);
  await maintainer.post('/session', demo.maintainer);
  await reviewer.post('/session', demo.reviewer);
  await tester.post('/session', demo.tester);
});
afterAll(() => server.close());

const vehicles = async (client: ApiClient) => (await client.get<{ items: VehicleSummary[] }>('/vehicles')).items;

const calibrationId = async () => (await maintainer.get<{ items: { id: string }[] }>('/calibrations')).items[0].id;

describe('a small demo', () => {
  it('has every drive analysed, with shifts in each', async () => {
    const { items } = await maintainer.get<{ items: LogResponse[] }>('/logs');
    expect(items.map((log) => log.state)).toEqual(Array(DRIVES + CARS).fill('ready'));
    const drives = items.filter(({ fileName }) => fileName.endsWith('.csv'));
    expect(drives).toHaveLength(DRIVES);
    expect(Math.min(...drives.map((log) => log.shiftCount))).toBeGreaterThan(0);
    expect(drives.every((log) => log.revisionLabel !== null)).toBe(true);
    expect(await maintainer.get<OverviewResponse>('/fleet/overview?platform=tern-6')).toMatchObject({
      vehicles: CARS,
      logs: DRIVES + CARS,
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

  it('has one car whose label lies, let in by a decision; the others are confirmed by their own captures', async () => {
    const cars = await vehicles(maintainer);
    const lying = cars.filter((car) => car.dialectVerdict === 'contradicted');
    expect(lying).toHaveLength(1);
    expect(cars.filter((car) => car.dialectVerdict === 'confirmed')).toHaveLength(CARS - 1);
    expect(cars.every((car) => car.isDialectCleared)).toBe(true);
    const of = (id: string) => maintainer.get<VehicleDialectResponse>(`/vehicles/${id}/dialect`);
    const dialects = await Promise.all(cars.map(({ id }) => of(id)));
    const told = dialects.filter(({ checks }) => checks.some(({ observed }) => observed !== null));
    // Two cars were looked into, and the profiles were learned from them.
    expect(told.length).toBeGreaterThanOrEqual(CARS - 2);
    const { decisions } = await of(lying[0].id);
    expect(decisions).toMatchObject([{ decision: 'accept', lapsedAt: null }]);
  });

  it('has a branch that was merged and waits for a reviewer, who has a question', async () => {
    const { items } = await reviewer.get<{ items: Review[] }>('/reviews?state=open');
    expect(items).toMatchObject([{ mayDecide: true, revisionLabel: 'Tern shore r5' }]);
    const [{ revisionId }] = items;
    const { items: comments } = await maintainer.get<{ items: Comment[] }>(`/revisions/${revisionId}/comments`);
    expect(comments).toMatchObject([{ tableId: 'fillTime', variant: 'D', byName: 'Scurvygrass', resolvedAt: null }]);
    const calibration = await maintainer.get<CalibrationResponse>(`/calibrations/${await calibrationId()}`);
    const [, , third, branch, merged] = calibration.revisions;
    expect(calibration.revisions.map(({ line }) => line)).toEqual(['main', 'main', 'main', 'cold-start', 'cold-start']);
    expect(merged).toMatchObject({ parentId: branch.id, mergeParentId: third.id, reviewState: 'open' });
  });

  it('has a draft on the second layout, open to whoever comes, with a step that is pointed at', async () => {
    const { items } = await maintainer.get<{ items: DraftResponse[] }>(`/calibrations/${await calibrationId()}/drafts`);
    expect(items).toMatchObject([{ layoutVersion: 2, origin: 'migration', line: 'main', lock: null }]);
    const { findings } = await maintainer.get<DraftResponse>(`/drafts/${items[0].id}`);
    expect(new Set(findings.map(({ code, severity }) => `${code} ${severity}`))).toEqual(
      new Set(['stepTooLarge warning']),
    );
  });

  it('has a proposal for the newest driven revision, which says what it is made of', async () => {
    const path = `/calibrations/${await calibrationId()}/proposals`;
    const { items } = await maintainer.get<ProposalsResponse>(path);
    expect(items).toMatchObject([{ subject: { id: 'rule:applyPressure' }, isByItself: false }]);
    expect(items[0].state).not.toBe('waiting');
    const { evidence } = await maintainer.get<ProposalResponse>(`/proposals/${items[0].id}`);
    expect(evidence.length).toBeGreaterThan(0);
  });

  it('has asked two cars for a drive that is missing, and taken three applications', async () => {
    const { items: requests } = await maintainer.get<{ items: DriveRequest[] }>('/requests?state=open');
    expect(requests).toMatchObject([
      { wantedShifts: 12, wantedVehicles: 2, cars: [{ state: 'asked' }, { state: 'asked' }] },
    ]);
    const { items: applications } = await reviewer.get<{ items: Application[] }>('/applications');
    expect(applications.map(({ name, state }) => `${name} ${state}`)).toEqual([
      'Dodder waiting',
      'Squill new',
      'Seablite new',
    ]);
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
