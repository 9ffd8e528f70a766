import { readdirSync, utimesSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Club, drive, foundClub, made, PASSWORD } from './support/club.js';
import { approve, aRelease } from './support/release-cases.js';
import { aRequest } from './support/request-cases.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const TESTER_EMAIL = 'thrift@club.test';

let server: TestServer;
let club: Club;
let logId: string;
beforeEach(async () => {
  server = await startServer();
  club = await foundClub(server);
  logId = (await drive(server, club.as.tester, club.vehicleId, syntheticDriveCsv(), { fileName: 'to-grandma.csv' })).id;
  await made(club.as.tester.post(`/logs/${logId}/notes`, { atS: 3, text: 'past the house of my aunt' }));
  await made(club.as.tester.patch(`/vehicles/${club.vehicleId}`, { note: 'kept in Shore Lane' }));
  ageFiles();
});
afterEach(() => server.close());

/** Files that came minutes ago are left to the sweep. */
function ageFiles(): void {
  for (const path of filesOfData()) utimesSync(path, 0, 0);
}

function filesOfData(): string[] {
  const data = server.store.status().folder;
  return ['blobs', 'signals', 'uploads'].flatMap((part) =>
    readdirSync(join(data, part), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => join(entry.parentPath, entry.name)),
  );
}

const eraseByMaintainer = (email = TESTER_EMAIL) =>
  club.as.maintainer.post(`/people/${club.as.tester.personId}/erasure`, { email });

/** Every text of every row, but for the audit trail, which keeps what was written into it. */
function everythingStored(): string {
  const sqlite = new Database(join(server.store.status().folder, 'syncline.db'), { readonly: true });
  const tables = sqlite
    .prepare(`SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT IN ('audit', 'sqlite_sequence')`)
    .pluck()
    .all() as string[];
  const text = tables.map((table) => JSON.stringify(sqlite.prepare(`SELECT * FROM "${table}"`).all())).join('\n');
  sqlite.close();
  return text;
}

describe('the data of a member', () => {
  it('go when she asks for it herself, and she is out', async () => {
    const response = await club.as.tester.post('/session/erasure', { email: TESTER_EMAIL });
    expect(response.json()).toEqual({ vehicleCount: 1, logCount: 1 });
    expect((await club.as.tester.get('/session')).statusCode).toBe(401);
    const again = await club.as.noOne.post('/session', { email: TESTER_EMAIL, password: PASSWORD });
    expect(again.json().code).toBe('session.badCredentials');
  });

  it('leave nothing behind that tells who she was, in rows or files', async () => {
    expect(everythingStored()).toMatch(/to-grandma[\s\S]*my aunt|my aunt[\s\S]*to-grandma/);
    expect(filesOfData()).toHaveLength(2);
    expect((await eraseByMaintainer()).statusCode).toBe(200);
    const left = everythingStored();
    for (const word of ['to-grandma', 'my aunt', 'Thrift', 'thrift@', 'Shore Lane']) expect(left).not.toContain(word);
    expect(filesOfData()).toEqual([]);
  });

  it('leave the statistics as they were, under a car without name and drives without hour', async () => {
    const { maintainer } = club.as;
    const counted = () => maintainer.get('/shifts').then((response) => response.json().totalCount);
    const before = await counted();
    expect(before).toBeGreaterThan(0);
    await eraseByMaintainer();
    expect(await counted()).toBe(before);
    expect(server.store.fleet.verifySummaries()).toEqual([]);
    const log = await made(maintainer.get(`/logs/${logId}`));
    expect(log).toMatchObject({
      vehicleTitle: 'Former car',
      ownerName: 'Former member',
      fileName: 'removed',
      drivenAt: `${new Date(log.drivenAt).getUTCFullYear()}-01-01T00:00:00.000Z`,
      inspection: null,
    });
    expect(log.originalRemovedAt).not.toBeNull();
    expect((await server.store.verifyData()).faults).toEqual([]);
  });

  it('cannot be downloaded or analysed anew any more, in words', async () => {
    await eraseByMaintainer();
    const { maintainer } = club.as;
    for (const answer of [maintainer.get(`/logs/${logId}/original`), maintainer.post(`/logs/${logId}/analysis`)]) {
      expect((await answer).json()).toMatchObject({ status: 410, code: 'log.originalRemoved' });
    }
  });

  it('go once: the audit trail says that it happened, by whom and whose id, and its chain holds', async () => {
    await eraseByMaintainer();
    expect((await eraseByMaintainer()).statusCode).toBe(404);
    const entry = server.store.read.audit.head();
    expect(entry).toMatchObject({ action: 'person.erase', target: `person:${club.as.tester.personId}` });
    for (const word of ['Thrift', 'thrift@', 'Van', 'to-grandma']) expect(JSON.stringify(entry)).not.toContain(word);
    expect((await made(club.as.maintainer.get('/audit/chain'))).kind).toBe('whole');
  });

  it('by herself, put no name into the trail', async () => {
    await club.as.tester.post('/session/erasure', { email: TESTER_EMAIL });
    expect(server.store.read.audit.head()).toMatchObject({
      actorName: 'Former member',
      actorId: club.as.tester.personId,
    });
  });

  it('stay when the address does not confirm whom is meant', async () => {
    const response = await eraseByMaintainer('samphire@club.test');
    expect(response.json()).toMatchObject({ status: 422, code: 'person.notConfirmed' });
    expect((await club.as.tester.get('/session')).statusCode).toBe(200);
  });

  it('of who decided on what cars run stay, and the answer says why', async () => {
    const response = await club.as.maintainer.post('/session/erasure', { email: 'marram@club.test' });
    expect(response.json()).toMatchObject({ status: 409, code: 'person.notErasable' });
    expect(response.json().detail).toContain('maintainer');
  });

  it('do not take along a file that somebody else uploaded too', async () => {
    await drive(server, club.as.otherTester, club.otherVehicleId, syntheticDriveCsv());
    ageFiles();
    await eraseByMaintainer();
    const data = server.store.status().folder;
    expect(
      readdirSync(join(data, 'blobs'), { recursive: true, withFileTypes: true }).filter((e) => e.isFile()),
    ).toHaveLength(1);
    expect((await server.store.verifyData()).faults).toEqual([]);
  });

  it('stay while a control unit is with her, whichever way, and go once it is entered where that went', async () => {
    const unit = { platformId: 'skua', hardware: 'B', firmware: '1.2' };
    const { maintainer, tester } = club.as;
    const held = await made(maintainer.post('/control-units', { serial: 'CU-1', ...unit }));
    const fitted = await made(maintainer.post('/control-units', { serial: 'CU-2', ...unit }));
    await made(maintainer.patch(`/control-units/${held.id}`, { holderId: tester.personId }));
    await made(maintainer.patch(`/control-units/${fitted.id}`, { vehicleId: club.vehicleId }));
    const refused = await eraseByMaintainer();
    expect(refused.json()).toMatchObject({ status: 409, code: 'person.unitsHeld' });
    expect(refused.json().detail).toMatch(/CU-1, CU-2|CU-2, CU-1/);
    await made(maintainer.patch(`/control-units/${held.id}`, { holderId: club.as.otherTester.personId }));
    expect((await tester.post('/session/erasure', { email: TESTER_EMAIL })).json()).toMatchObject({
      code: 'person.unitsHeld',
      detail: expect.stringContaining('CU-2'),
    });
    await made(maintainer.patch(`/control-units/${fitted.id}`, { isRetired: true }));
    expect((await eraseByMaintainer()).statusCode).toBe(200);
  });

  it('take her cars out of releases and drive requests: nobody would read what is offered or asked', async () => {
    const { maintainer } = club.as;
    await approve(club, club.revisionIds[1]);
    const release = await made(maintainer.post('/releases', aRelease(club)));
    await made(maintainer.post(`/releases/${release.id}/acts`, { act: 'start' }));
    const request = await made(maintainer.post('/requests', aRequest([club.vehicleId, club.otherVehicleId])));
    await eraseByMaintainer();

    const cohort = await made(maintainer.get(`/releases/cohort?revision=${club.revisionIds[1]}`));
    expect(cohort.cars).toMatchObject([{ vehicleId: club.otherVehicleId }]);
    const after = await made(maintainer.get(`/releases/${release.id}`));
    expect(after.cars).toMatchObject([{ vehicleId: club.otherVehicleId }]);
    expect((await maintainer.get(`/vehicles/${club.vehicleId}/offer`)).statusCode).toBe(404);
    expect(await made(maintainer.get(`/vehicles/${club.vehicleId}`))).toMatchObject({ isFormer: true });
    expect(await made(maintainer.get(`/vehicles/${club.otherVehicleId}`))).toMatchObject({ isFormer: false });

    const point = 'kind=1-2&loadBand=2&fluidTemperatureBand=0';
    const askable = await made(maintainer.get(`/fleet/gaps/cars?platform=skua&${point}`));
    expect(askable.items).toMatchObject([{ vehicleId: club.otherVehicleId }]);
    const { cars } = await made(maintainer.get(`/requests/${request.id}`));
    const stateOf = (vehicleId: string) => cars.find((car: { vehicleId: string }) => car.vehicleId === vehicleId).state;
    expect([stateOf(club.vehicleId), stateOf(club.otherVehicleId)]).toEqual(['declined', 'asked']);
    expect((await maintainer.post('/requests', aRequest([club.vehicleId]))).json()).toMatchObject({
      code: 'resource.notFound',
    });
  });
});
