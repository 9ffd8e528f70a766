import { createHash } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CAR, type Club, contentWith, drive, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterAll(() => server.close());

const reviewer = () => club.as.reviewer;

describe('the content of a revision', () => {
  it('is sent as the very bytes that its hash was taken of, and need not be sent again', async () => {
    const [revisionId] = club.revisionIds;
    const { contentHash } = await made(reviewer().get(`/revisions/${revisionId}`));
    const response = await reviewer().get(`/revisions/${revisionId}/content`);
    expect(createHash('sha256').update(response.rawPayload).digest('hex')).toBe(contentHash);
    expect(response.headers).toMatchObject({
      etag: `"${contentHash}"`,
      'cache-control': 'private, max-age=31536000, immutable',
    });
    expect(response.json()).toEqual(contentWith(300));
    const again = await reviewer().get(`/revisions/${revisionId}/content`, { 'if-none-match': `"${contentHash}"` });
    expect([again.statusCode, again.body]).toEqual([304, '']);
  });
});

describe('what a revision commands', () => {
  it('is the product of its tables over load and input speed', async () => {
    const query = 'rule=applyPressure&shift=2-3&program=brisk';
    const map = await made(reviewer().get(`/revisions/${club.revisionIds[1]}/commanded?${query}`));
    expect(map).toMatchObject({
      unit: 'kPa',
      load: [0, 50, 100],
      inputSpeed: [1000, 3000],
      values: Array(6).fill(330),
    });
    const point = await made(
      reviewer().get(`/revisions/${club.revisionIds[1]}/commanded-point?${query}&load=20&inputSpeed=1200`),
    );
    expect(point).toEqual({
      value: 330,
      unit: 'kPa',
      shares: [
        { tableId: 'basePressure', title: 'Base pressure', variant: '2-3', value: 330, unit: 'kPa' },
        { tableId: 'programFactor', title: 'Program factor', variant: 'brisk', value: 1, unit: '' },
      ],
    });
  });
});

describe('two revisions', () => {
  it('differ in the variants that were changed; the others are counted', async () => {
    const [base, other] = club.revisionIds;
    const answer = await made(reviewer().get(`/compare/tables?base=${base}&other=${other}`));
    expect(answer.differences.map((entry: { variant: string }) => entry.variant)).toEqual(['1-2', '2-3', '3-2', '2-1']);
    expect(answer.differences[0]).toMatchObject({
      cells: 6,
      changedCells: 6,
      largestAbsolute: { position: 0, absolute: 30, percent: 10 },
      largestPercent: { position: 0, absolute: 30, percent: 10 },
      isResampled: false,
    });
    expect(answer.equalTableCount).toBe(2);
  });

  it('tell each cell of a variant, be it changed or not', async () => {
    const [base, other] = club.revisionIds;
    const ask = (table: string, variant: string) =>
      reviewer().get(`/compare/table?base=${base}&other=${other}&table=${table}&variant=${variant}`);
    expect(await made(ask('basePressure', '1-2'))).toMatchObject({
      baseValues: Array(6).fill(300),
      otherValues: Array(6).fill(330),
      absolute: Array(6).fill(30),
      percent: Array(6).fill(10),
    });
    expect((await made(ask('programFactor', 'brisk'))).absolute).toEqual([0]);
    expect((await ask('none', '1-2')).json()).toMatchObject({
      code: 'request.invalid',
      detail: expect.stringContaining("no table 'none'"),
    });
    expect((await ask('basePressure', 'none')).json()).toMatchObject({
      code: 'request.invalid',
      detail: expect.stringContaining("has no variant 'none'"),
    });
  });

  it('are not compared by outcome before enough was driven alike', async () => {
    const [base, other] = club.revisionIds;
    const answer = await made(reviewer().get(`/compare/outcomes?base=${base}&other=${other}`));
    expect(answer.overlap).toBe(0);
    expect(answer.measures[0]).toMatchObject({
      measure: 'flare',
      baseRate: { kind: 'insufficient', shifts: 0 },
      adjusted: { kind: 'insufficient', reason: 'noOverlap' },
    });
  });
});

describe('driving', () => {
  /** Four cars drive each revision ten times; under the first every shift flares, under the second one car's do. */
  beforeAll(async () => {
    const { maintainer } = club.as;
    let offsetRpm = 0;
    for (let car = 0; car < 4; car++) {
      const { id } = await made(maintainer.post('/vehicles', { ...CAR, title: `Car ${car}` }));
      const { map } = await made(maintainer.get(`/vehicles/${club.vehicleId}/signal-map`));
      await made(maintainer.put(`/vehicles/${id}/signal-map`, map));
      for (const [i, revision] of club.revisionIds.entries()) {
        for (let count = 0; count < 5; count++) {
          const flareRpm = i === 0 || car === 0 ? 200 : 0;
          await made(maintainer.upload(id, syntheticDriveCsv({ flareRpm, offsetRpm: ++offsetRpm }), { revision }));
        }
      }
    }
    await server.jobs.idle();
  }, 60_000);

  it('gives a revision its outcome with counts and an interval', async () => {
    const { outcome, shiftCount, logCount } = await made(reviewer().get(`/revisions/${club.revisionIds[1]}`));
    expect({ shiftCount, logCount }).toEqual({ shiftCount: 40, logCount: 20 });
    expect(outcome.flare).toMatchObject({ kind: 'estimate', events: 10, shifts: 40, vehicles: 4, rate: 0.25 });
    expect(outcome.flare.low).toBeLessThan(0.25);
    expect(outcome.flare.high).toBeGreaterThan(0.25);
  });

  it('is compared like with like', async () => {
    const [base, other] = club.revisionIds;
    const answer = await made(reviewer().get(`/compare/outcomes?base=${base}&other=${other}`));
    expect(answer.overlap).toBe(1);
    const { baseRate, otherRate, adjusted } = answer.measures[0];
    expect([baseRate.rate, otherRate.rate]).toEqual([1, 0.25]);
    // Every stratum has the same share of cars, so that the Mantel–Haenszel difference is the plain one.
    expect(adjusted).toMatchObject({ kind: 'estimate', shifts: 80, vehicles: 4 });
    expect(adjusted.difference).toBeCloseTo(-0.75, 12);
  });

  it('counts to the table cell nearest to where it happened', async () => {
    // The drives shift at 40 % load; 1-2 at three times 840 rpm and more, nearer to 3000 than to 1000 rpm.
    const { cells } = await made(
      reviewer().get(`/revisions/${club.revisionIds[1]}/evidence?table=basePressure&variant=1-2`),
    );
    expect(cells).toHaveLength(6);
    const driven = cells.filter((cell: { shifts: number }) => cell.shifts > 0);
    expect(driven).toHaveLength(1);
    expect(driven[0]).toMatchObject({ row: 1, column: 1, shifts: 20, vehicles: 4, flare: { events: 5, rate: 0.25 } });
  });

  it('fills the fleet matrix, with every cell of a kind adding up to its total', async () => {
    const matrix = await made(reviewer().get('/fleet/matrix?platform=skua'));
    expect(matrix.rows.map((row: { kind: string }) => row.kind)).toEqual(['1-2', '2-3']);
    for (const { cells, total } of matrix.rows) {
      const sum = cells.reduce((count: number, cell: { rate: { shifts: number } }) => count + cell.rate.shifts, 0);
      expect(sum).toBe(total.shifts);
    }
    expect(matrix.total).toMatchObject({ kind: 'estimate', shifts: 80, events: 50 });
    const csv = (await reviewer().get('/fleet/matrix.csv?platform=skua')).body.trim().split('\r\n');
    expect(csv).toHaveLength(
      1 + matrix.rows.reduce((n: number, row: { cells: unknown[] }) => n + row.cells.length + 1, 0),
    );
  });

  it('shows a tester the whole fleet and only the own car by name', async () => {
    const all = await made(reviewer().get('/fleet/vehicles?platform=skua'));
    await drive(server, club.as.tester, club.vehicleId, syntheticDriveCsv({ offsetRpm: 500 }));
    const own = await made(club.as.tester.get('/fleet/vehicles?platform=skua'));
    expect(all.vehicles).toHaveLength(4);
    expect(own.vehicles.map((car: { title: string }) => car.title)).toEqual(['Camper van']);
    expect(own.fleet.shifts).toBe(all.fleet.shifts + 2);
  });

  it('says where evidence is missing, the emptiest first', async () => {
    const { cells, neededShifts } = await made(reviewer().get('/fleet/coverage?platform=skua'));
    expect(cells[0]).toMatchObject({ shifts: 0, vehicles: 0 });
    const counts = cells.map((cell: { shifts: number }) => cell.shifts);
    expect(counts).toEqual([...counts].sort((a, b) => a - b));
    expect(counts.at(-1)).toBeLessThan(neededShifts);
  });

  it('is graded anew when a changed policy is switched to, with the summaries', async () => {
    const { policy } = await made(reviewer().get('/platforms/skua'));
    const { default: base } = policy.programs;
    const lenient = { ...policy, programs: { default: { ...base, flareRpm: 5000 } } };
    expect((await made(club.as.maintainer.post('/platforms/skua/policies', lenient))).version).toBe(2);
    await server.jobs.idle();
    const flares = async () => (await made(reviewer().get('/fleet/matrix?platform=skua'))).total.events;
    expect(await flares()).toBeGreaterThan(0);
    const runs = await made(club.as.maintainer.get('/analysis-runs'));
    await made(club.as.maintainer.post(`/analysis-runs/${runs.items[0].id}/switch`));
    expect(await flares()).toBe(0);
    const { items } = await made(reviewer().get('/shifts?limit=1'));
    expect(items[0].policyVersion).toBe(2);
    expect(server.store.fleet.verifySummaries()).toEqual([]);
  });
});

describe('a change of a car', () => {
  it('leaves alone what it does not name', async () => {
    const before = await made(club.as.tester.get(`/vehicles/${club.vehicleId}`));
    const after = await made(club.as.tester.patch(`/vehicles/${club.vehicleId}`, { note: 'new fluid' }));
    expect(after).toEqual({ ...before, note: 'new fluid' });
  });

  it('shows a label that lies', async () => {
    const observation = { dialect: 'shingle', source: 'capture', note: 'another bus' };
    const { dialectVerdict } = await made(
      club.as.maintainer.post(`/vehicles/${club.otherVehicleId}/observations`, observation),
    );
    expect(dialectVerdict).toBe('contradicted');
    const install = await club.as.otherTester.post(`/vehicles/${club.otherVehicleId}/installations`, {
      revisionId: club.revisionIds[1],
    });
    expect(install.json().code).toBe('vehicle.dialectUnverified');
  });
});
