import { rmSync } from 'node:fs';
import type { CoverageGap, DriveRequest, GapCar, GapsResponse } from '@syncline/contract';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type Club, drive, foundClub, made, PLATFORM } from './support/club.js';
import { aRequest } from './support/request-cases.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const DAY_MS = 24 * 3600_000;
/** Where the synthetic drive shifts: load 40 %, fluid 80 °C. */
const POINT = { kind: '1-2', loadBand: 2, fluidTemperatureBand: 3 };

let server: TestServer;
let club: Club;
const begin = async () => {
  server = await startServer();
  club = await foundClub(server);
};
const end = () => server.close();

let drives = 0;
/** A drive of the tester's car that is uploaded a second later, different from all before. */
async function driven(client = club.as.tester, vehicleId = club.vehicleId): Promise<void> {
  server.time.nowMs += 1000;
  drives += 1;
  await drive(server, client, vehicleId, syntheticDriveCsv({ offsetRpm: drives, flareRpm: 0 }));
}

const send = (change: object = {}, vehicleIds: readonly string[] = [club.vehicleId]): Promise<DriveRequest> =>
  made(club.as.maintainer.post('/requests', aRequest(vehicleIds, { ...POINT, ...change })));
const listed = async (client = club.as.tester, query = ''): Promise<DriveRequest[]> =>
  (await made(client.get(`/requests${query}`))).items;
const gaps = (query = ''): Promise<GapsResponse> => made(club.as.maintainer.get(`/fleet/gaps?platform=skua${query}`));
const isPoint = (gap: CoverageGap) => gap.kind === '1-2' && gap.load.index === 2 && gap.fluidTemperature.index === 3;

describe('gaps', () => {
  beforeEach(begin);
  afterEach(end);

  it('are every point of the platform that lacks evidence, with the gain of a drive in falling order', async () => {
    await driven();
    const { items, neededShifts, neededVehicles, askShifts } = await gaps();
    expect(items).toHaveLength(PLATFORM.shifts.length * 6 * 5);
    expect(items.map(({ gain }) => gain)).toEqual(items.map(({ gain }) => gain).sort((a, b) => b - a));
    expect({ neededShifts, neededVehicles, askShifts }).toEqual({ neededShifts: 30, neededVehicles: 3, askShifts: 12 });
    const gap = items.find(isPoint);
    expect(gap).toMatchObject({
      from: 1,
      to: 2,
      shifts: 1,
      vehicles: 1,
      lacks: ['shifts', 'vehicles'],
      openRequests: 0,
    });
    expect(gap?.usageShare).toBeGreaterThan(0.05);
    expect(gap?.widthAfter).toBeLessThan(gap?.widthNow ?? 0);
  });

  it('of a revision or a program count only its shifts', async () => {
    await driven();
    const [first, second] = club.revisionIds;
    expect((await gaps(`&revision=${first}`)).items.find(isPoint)?.shifts).toBe(1);
    expect((await gaps(`&revision=${second}`)).items.find(isPoint)?.shifts).toBe(0);
    expect((await gaps('&program=brisk')).items.find(isPoint)?.shifts).toBe(0);
  });

  it('know the cars that could go there, those worth asking first, and why', async () => {
    for (let i = 0; i < 3; i++) await driven();
    const query = `platform=skua&kind=1-2&loadBand=2&fluidTemperatureBand=3&revision=${club.revisionIds[0]}`;
    const cars: GapCar[] = (await made(club.as.maintainer.get(`/fleet/gaps/cars?${query}`))).items;
    expect(cars).toMatchObject([
      { title: 'Camper van', reach: 'there', runs: 'runs', isActive: true, ownShifts: 3, isSuitable: true },
      { title: 'Pick-up', reach: 'no', runs: 'runs', isActive: false, ownShifts: 0, isSuitable: false },
    ]);
    // A further car would tell more, if it came there.
    expect(cars[1].gain).toBeGreaterThan(cars[0].gain);
  });
});

describe('a drive request', () => {
  beforeEach(begin);
  afterEach(end);

  it('is seen by the tester whose car is asked, with what is asked of it, and by no other', async () => {
    await driven();
    const gap = (await gaps()).items.find(isPoint);
    const { id } = await send({ wantedShifts: 7, wantedVehicles: 2 }, [club.vehicleId, club.otherVehicleId]);
    const [seen] = await listed();
    expect(seen).toMatchObject({
      id,
      state: 'open',
      from: 1,
      to: 2,
      load: { label: '30–45 %' },
      fluidTemperature: { label: '80–100 °C' },
      shiftsPerCar: 4,
      progress: { shifts: 0, vehicles: 0 },
      cars: [{ title: 'Camper van', state: 'asked', isOwn: true }],
      createdByName: 'Marram',
    });
    const { widthNow, widthAfter, gain, shifts } = gap as CoverageGap;
    expect(seen.reason).toMatchObject({ widthNow, widthAfter, gain, shifts });
    expect((await listed(club.as.otherTester))[0].cars).toMatchObject([{ title: 'Pick-up' }]);
    const single = await send();
    expect((await club.as.otherTester.get(`/requests/${single.id}`)).statusCode).toBe(404);
    expect((await gaps()).items.find(isPoint)?.openRequests).toBe(2);
  });

  it('is closed by the drives that come in, and by those alone', async () => {
    await driven();
    const { id } = await send({ wantedShifts: 2 });
    expect(await listed()).toMatchObject([{ state: 'open', progress: { shifts: 0, vehicles: 0 } }]);
    await driven();
    expect(await listed()).toMatchObject([
      { state: 'open', progress: { shifts: 1, vehicles: 0 }, cars: [{ shifts: 1 }] },
    ]);
    await driven();
    expect(await listed()).toMatchObject([
      { state: 'met', progress: { shifts: 2, vehicles: 1 }, closedByName: 'the server', cars: [{ state: 'met' }] },
    ]);
    await driven();
    expect(await made(club.as.tester.get(`/requests/${id}`))).toMatchObject({ progress: { shifts: 2 } });
    expect(await listed(club.as.tester, '?state=open')).toEqual([]);
  });

  it('counts a car that was not asked, and asks for as many cars as it says', async () => {
    await send({ wantedShifts: 2, wantedVehicles: 2 }, [club.vehicleId, club.otherVehicleId]);
    const single = await send({ wantedShifts: 1 });
    await driven();
    await driven();
    expect(await listed(club.as.maintainer)).toMatchObject([
      { id: single.id, state: 'met' },
      { state: 'open', progress: { shifts: 2, vehicles: 1 } },
    ]);
    await driven(club.as.otherTester, club.otherVehicleId);
    expect((await listed(club.as.maintainer))[1]).toMatchObject({ state: 'met', progress: { shifts: 3, vehicles: 2 } });
  });

  it('runs out after its days', async () => {
    await send({ days: 2 });
    server.time.nowMs += 2 * DAY_MS - 1;
    expect(await listed()).toMatchObject([{ state: 'open' }]);
    server.time.nowMs += 1;
    expect(await listed()).toMatchObject([{ state: 'expired', closedByName: 'the server' }]);
  });

  it('is ended at the next start, when no one looks', async () => {
    const first = await startServer();
    first.time.nowMs -= 3 * DAY_MS;
    const { as, vehicleId } = await foundClub(first);
    const { id } = await made(as.maintainer.post('/requests', aRequest([vehicleId], { days: 1 })));
    await first.app.close();
    first.store.close();
    const next = await startServer({ folder: first.folder });
    await next.app.close();
    expect(next.store.read.requests.find({}, id)).toMatchObject({ state: 'expired', closedByName: 'the server' });
    next.store.close();
    rmSync(first.folder, { recursive: true });
  });

  it('is declined with a reason, taken up again, and withdrawn', async () => {
    const { id } = await send();
    const answer = (answerWord: string, reason = '') =>
      club.as.tester.post(`/requests/${id}/answer`, { vehicleId: club.vehicleId, answer: answerWord, reason });
    expect(await made(answer('decline', 'no hills here'))).toMatchObject({
      cars: [{ state: 'declined', reason: 'no hills here' }],
    });
    expect(await made(answer('accept'))).toMatchObject({ cars: [{ state: 'asked', reason: '' }] });
    await made(club.as.maintainer.post(`/requests/${id}/withdraw`, { reason: 'the map has changed' }));
    expect((await answer('decline')).json()).toMatchObject({ code: 'driveRequest.closed', status: 409 });
    expect(await listed()).toMatchObject([{ state: 'withdrawn', closingNote: 'the map has changed' }]);
  });
});

describe('a drive request that cannot be', () => {
  beforeAll(begin);
  afterAll(end);

  it.each([
    ['a shift that the platform does not have', { kind: '4-5' }, 422, 'driveRequest.unknownPoint', "no shift '4-5'"],
    ['a band that there is not', { loadBand: 9 }, 422, 'driveRequest.unknownPoint', 'load band 9'],
    ['a program that there is not', { program: 'wild' }, 422, 'driveRequest.unknownPoint', "program 'wild'"],
    ['more cars than are asked', { wantedVehicles: 2 }, 400, 'request.invalid', 'no more cars than are asked'],
    ['no car', { vehicleIds: [] }, 400, 'request.invalid', 'choose at least one car'],
    ['an unknown car', { vehicleIds: ['none'] }, 404, 'resource.notFound', "car 'none'"],
    ['an unknown revision', { revisionId: 'none' }, 404, 'resource.notFound', "revision 'none'"],
  ])('for %s, is refused, saying so', async (_what, change, status, code, detail) => {
    const response = await club.as.maintainer.post('/requests', aRequest([club.vehicleId], { ...POINT, ...change }));
    expect(response.json()).toMatchObject({ status, code });
    expect(response.json().detail).toContain(detail);
    expect(await listed(club.as.maintainer)).toEqual([]);
  });

  it('to a car of another platform is refused', async () => {
    await made(club.as.maintainer.post('/platforms', { ...PLATFORM, id: 'plover' }));
    const body = aRequest([club.vehicleId], { ...POINT, platformId: 'plover' });
    const response = await club.as.maintainer.post('/requests', body);
    expect(response.json()).toMatchObject({ status: 422, code: 'driveRequest.otherPlatform' });
  });
});
