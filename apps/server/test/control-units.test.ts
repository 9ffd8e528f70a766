import type { ControlUnitResponse } from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Club, foundClub, made, PLATFORM } from './support/club.js';
import { approve, aRelease } from './support/release-cases.js';
import { anApplication } from './support/request-cases.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer({ settings: { mail: { smtpUrl: 'smtp://127.0.0.1:1', from: 'club@shore.example' } } });
  club = await foundClub(server);
});
afterAll(() => server.close());

const enter = (change: object = {}): Promise<ControlUnitResponse> =>
  made(club.as.maintainer.post('/control-units', { serial: 'CU-1', platformId: 'skua', hardware: 'B', ...change }));
const alter = (unitId: string, change: object) => club.as.maintainer.patch(`/control-units/${unitId}`, change);
const list = async (client = club.as.tester): Promise<ControlUnitResponse[]> =>
  (await made(client.get('/control-units'))).items;

describe('a control unit', () => {
  let unit: ControlUnitResponse;
  beforeAll(async () => {
    unit = await enter({ firmware: '1.2', note: 'from the first batch' });
  });

  it('is known by its serial once', async () => {
    const again = { serial: 'CU-1', platformId: 'skua', hardware: 'B' };
    expect((await club.as.maintainer.post('/control-units', again)).json()).toMatchObject({ code: 'resource.exists' });
  });

  it('keeps who held it, where it was fitted and what it reported, in words', async () => {
    await made(alter(unit.id, { holderId: club.as.tester.personId, note: 'by post' }));
    server.time.nowMs += 1000;
    const fitted: ControlUnitResponse = await made(alter(unit.id, { vehicleId: club.vehicleId }));
    expect(fitted).toMatchObject({ holderName: 'Thrift', vehicleTitle: 'Camper van' });
    expect(Date.parse(fitted.fittedAt ?? '')).toBe(server.time.nowMs);
    await made(club.as.tester.post(`/control-units/${unit.id}/firmware`, { firmware: '1.3', layoutVersion: 1 }));
    const { events } = await made(club.as.tester.get(`/control-units/${unit.id}`));
    expect(events.map(({ change }: { change: string }) => change)).toEqual([
      'firmware: 1.2 → 1.3; takes layout version: unknown → 1',
      'fitted in: no car → Camper van',
      'held by: nobody → Thrift',
      'entered: hardware B, firmware 1.2',
    ]);
    expect(events[0]).toMatchObject({ byName: 'Thrift' });
  });

  it('is seen by who holds it or has it in a car, and by no other tester', async () => {
    expect(await list()).toMatchObject([{ serial: 'CU-1' }]);
    expect(await list(club.as.otherTester)).toEqual([]);
    expect((await club.as.otherTester.get(`/control-units/${unit.id}`)).statusCode).toBe(404);
  });

  it('takes the place of the one that was in the car before', async () => {
    const second = await enter({ serial: 'CU-2' });
    await made(alter(second.id, { vehicleId: club.vehicleId }));
    const first = await made(club.as.maintainer.get(`/control-units/${unit.id}`));
    expect(first).toMatchObject({ vehicleId: null, fittedAt: null });
    expect(first.events[0].change).toContain('CU-2 took its place');
    await made(alter(unit.id, { vehicleId: club.vehicleId }));
  });

  it('is not fitted in a car of another gearbox', async () => {
    await made(club.as.maintainer.post('/platforms', { ...PLATFORM, id: 'auk' }));
    const auk = await enter({ serial: 'CU-3', platformId: 'auk' });
    expect((await alter(auk.id, { vehicleId: club.vehicleId })).json()).toMatchObject({
      code: 'vehicle.platformMismatch',
    });
  });

  it('decides what its car is offered, where a release is for some hardware', async () => {
    await approve(club, club.revisionIds[1]);
    const { id, cohortCount } = await made(
      club.as.maintainer.post('/releases', aRelease(club, { cohort: { hardware: ['B'] } })),
    );
    expect(cohortCount).toBe(1);
    await made(club.as.maintainer.post(`/releases/${id}/acts`, { act: 'start' }));
    expect(await made(club.as.tester.get(`/vehicles/${club.vehicleId}/offer`))).toMatchObject({
      kind: 'install',
      unit: { serial: 'CU-1', hardware: 'B', firmware: '1.3' },
    });
    await made(alter(unit.id, { hardware: 'A0' }));
    const refused = await club.as.tester.get(`/vehicles/${club.vehicleId}/offer/download`);
    expect(refused.json()).toMatchObject({ code: 'offer.refused', findings: [{ code: 'otherHardware' }] });
    expect((await made(club.as.otherTester.get(`/vehicles/${club.otherVehicleId}/offer`))).kind).toBe('none');
  });

  it('of a faulty make is recalled with its people: they are listed, written to, and told at their car', async () => {
    const affected = await made(club.as.maintainer.get('/control-units/affected?hardware=A0&firmware=1.3'));
    expect(affected.items).toMatchObject([{ serial: 'CU-1', personName: 'Thrift', canBeMailed: true }]);
    expect(JSON.stringify(affected)).not.toContain('@');
    const words = 'The driver of solenoid C may stick. Do not drive; send the unit back.';
    const recall = await made(
      club.as.maintainer.post('/control-units/recalls', { hardware: 'A0', firmware: '1.3', words }),
    );
    expect(recall).toMatchObject({ units: 1, byName: 'Marram' });
    const { unitRecalls } = await made(club.as.tester.get(`/vehicles/${club.vehicleId}/offer`));
    expect(unitRecalls).toMatchObject([{ words }]);
    const { items } = await made(club.as.maintainer.get('/notices'));
    expect(items).toContainEqual(
      expect.objectContaining({ recipient: 'thrift@club.test', about: `unitRecall:${recall.id}`, channel: 'mail' }),
    );
    // A unit that was mended answers to it no longer.
    await made(club.as.tester.post(`/control-units/${unit.id}/firmware`, { firmware: '1.4' }));
    expect((await made(club.as.maintainer.get('/control-units/recalls'))).items).toMatchObject([{ units: 0 }]);
    expect((await made(club.as.tester.get(`/vehicles/${club.vehicleId}/offer`))).unitRecalls).toEqual([]);
  });

  it('of nothing in particular cannot be recalled', async () => {
    const refused = await club.as.maintainer.post('/control-units/recalls', { words: 'all of them' });
    expect(refused.json()).toMatchObject({ code: 'request.invalid' });
    expect((await club.as.maintainer.get('/control-units/affected')).statusCode).toBe(400);
  });
});

describe('applicants who wait for a unit', () => {
  it('stand in a queue, the longest wait first, until they wait no longer or are gone', async () => {
    await made(club.as.maintainer.put('/recruitment', { isOpen: true, callText: 'Come.' }));
    for (const name of ['Sea Rocket', 'Sea Holly']) {
      await made(club.as.noOne.post('/applications', anApplication({ name })));
    }
    const { items } = await made(club.as.maintainer.get('/applications'));
    const [holly, rocket] = items.map(({ id }: { id: string }) => id);
    const wait = (id: string, waits: boolean) => club.as.maintainer.put(`/applications/${id}/unit-wait`, { waits });
    await made(wait(rocket, true));
    server.time.nowMs += 1000;
    const { items: queue } = await made(wait(holly, true));
    expect(queue.map(({ name }: { name: string }) => name)).toEqual(['Sea Rocket', 'Sea Holly']);
    await made(club.as.maintainer.delete(`/applications/${rocket}`));
    expect((await made(club.as.reviewer.get('/control-units/queue'))).items).toMatchObject([{ name: 'Sea Holly' }]);
    expect((await made(wait(holly, false))).items).toEqual([]);
  });
});
