import type {
  CohortsResponse,
  CompareDetailResponse,
  CompareOutcomesResponse,
  CompareOverlapResponse,
  CompareSpreadsResponse,
  FleetVehiclesResponse,
  MatricesResponse,
  MatrixResponse,
  Rate,
  ShiftDistributionResponse,
  ShiftFacetsResponse,
  SpreadResponse,
  TrendResponse,
} from '@syncline/contract';
import { compareOutcomes, type OutcomeRow, shrunkenRates, tabulateOutcomes } from '@syncline/fleet';
import type { StoredShift } from '@syncline/store';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Client } from './support/client.js';
import { type Club, foundClub, made } from './support/club.js';
import { addDrive, driveFleet, JERK_CHANGE } from './support/driven-fleet.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let club: Club;
let reviewer: Client;
let vehicleIds: string[];
let shifts: StoredShift[];
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  reviewer = club.as.reviewer;
  vehicleIds = await driveFleet(server, club);
  shifts = allShifts();
});
afterAll(() => server.close());

function allShifts(): StoredShift[] {
  const found: StoredShift[] = [];
  let cursor: string | undefined;
  do {
    const page = server.store.read.shifts.list({}, { sort: 'newest' }, { cursor, limit: 200 });
    found.push(...page.items);
    cursor = page.nextCursor ?? undefined;
  } while (cursor !== undefined);
  return found;
}

const carNumber = (shift: StoredShift) => vehicleIds.indexOf(shift.vehicleId);
const isFlare = (shift: StoredShift) => shift.grades.includes('flare');
const canTellFlare = ({ shift, grades }: StoredShift) => shift.inertiaStartS !== null || grades.includes('flare');
const under = (revision: number) => (shift: StoredShift) => shift.revision?.id === club.revisionIds[revision];

/** Events, shifts and cars of a rate of flares, by going through the shifts. */
function counted(rows: readonly StoredShift[]) {
  const told = rows.filter(canTellFlare);
  return {
    events: told.filter(isFlare).length,
    shifts: told.length,
    vehicles: new Set(told.map(({ vehicleId }) => vehicleId)).size,
  };
}
const countsOf = ({ events, shifts: of, vehicles }: Rate) => ({ events, shifts: of, vehicles });

const FILTERS: [query: string, holds: (shift: StoredShift) => boolean][] = [
  ['', () => true],
  ['&revision=REVISION', (shift) => under(1)(shift)],
  ['&program=brisk', ({ program }) => program === 'brisk'],
  ['&program=unheard', () => false],
  ['&fluidTemperatureBand=2', ({ bands }) => bands.temperature === 2],
  ['&dialect=shingle', (shift) => carNumber(shift) >= 6],
  ['&dialect=sand', (shift) => carNumber(shift) < 6],
  [`&engine=${encodeURIComponent('2.0 diesel')}&dialect=shingle`, (shift) => [6, 7].includes(carNumber(shift))],
  ['&engine=steam', () => false],
];

describe('the fleet', () => {
  it.each(FILTERS)('has a matrix that equals a count of its shifts, asked for %s', async (query, holds) => {
    const asked = query.replace('REVISION', club.revisionIds[1]);
    const matrix: MatrixResponse = await made(reviewer.get(`/fleet/matrix?platform=skua${asked}`));
    const rows = shifts.filter(holds);
    expect(countsOf(matrix.total)).toEqual(counted(rows));
    expect(matrix.rows.map(({ kind }) => kind)).toEqual(
      ['1-2', '2-3', '3-2'].filter((kind) => rows.some(({ shift }) => shift.kind === kind)),
    );
    for (const { kind, total, cells } of matrix.rows) {
      const ofKind = rows.filter(({ shift }) => shift.kind === kind);
      expect(countsOf(total)).toEqual(counted(ofKind));
      expect(cells.map(({ loadBand }) => loadBand)).toEqual(
        [...new Set(ofKind.map(({ bands }) => bands.load))].sort((a, b) => a - b),
      );
      for (const { loadBand, rate } of cells) {
        expect(countsOf(rate)).toEqual(counted(ofKind.filter(({ bands }) => bands.load === loadBand)));
      }
    }
  });

  it('has the matrix of the first gearbox of the list where none is named', async () => {
    const { items } = await made(reviewer.get('/platforms?limit=200'));
    const named: MatrixResponse = await made(reviewer.get(`/fleet/matrix?platform=${items[0].id}&measure=flare`));
    expect(await made(reviewer.get('/fleet/matrix?measure=flare'))).toEqual(named);
  });

  it('has the matrix of every temperature side by side, each as it is alone', async () => {
    const { panels, loadBands }: MatricesResponse = await made(reviewer.get('/fleet/matrices?platform=skua'));
    expect(panels.map(({ fluidTemperatureBand }) => fluidTemperatureBand.index)).toEqual([0, 1, 2, 3, 4]);
    expect(loadBands.map(({ index }) => index)).toEqual([0, 1, 2, 3, 4, 5, -1]);
    expect(panels.reduce((sum, panel) => sum + panel.shifts, 0)).toBe(shifts.length);
    for (const { fluidTemperatureBand, rows, total } of panels) {
      const query = `platform=skua&fluidTemperatureBand=${fluidTemperatureBand.index}`;
      const alone: MatrixResponse = await made(reviewer.get(`/fleet/matrix?${query}`));
      expect({ rows, total }).toEqual({ rows: alone.rows, total: alone.total });
    }
  });

  it('has a trend and an overview of a cohort', async () => {
    const query = 'platform=skua&dialect=shingle';
    const { points }: TrendResponse = await made(reviewer.get(`/fleet/trend?${query}`));
    const cohort = shifts.filter((shift) => carNumber(shift) >= 6);
    expect(points.map(({ shifts: count, outcome }) => [count, countsOf(outcome.flare)])).toEqual(
      [0, 1].map((i) => [cohort.filter(under(i)).length, counted(cohort.filter(under(i)))]),
    );
    const brisk: TrendResponse = await made(reviewer.get(`/fleet/trend?${query}&program=brisk`));
    expect(brisk.points[1].shifts).toBe(cohort.filter(under(1)).filter(({ program }) => program === 'brisk').length);
    expect(await made(reviewer.get(`/fleet/overview?${query}`))).toMatchObject({
      vehicles: 6,
      logs: 18,
      shifts: cohort.length,
    });
  });

  it('draws the rate of each car towards that of all', async () => {
    const { fleet, vehicles }: FleetVehiclesResponse = await made(reviewer.get('/fleet/vehicles?platform=skua'));
    const byCar = vehicleIds.map((vehicleId) => counted(shifts.filter((shift) => shift.vehicleId === vehicleId)));
    const shrunken = shrunkenRates({
      events: byCar.map(({ events }) => events),
      trials: byCar.map((car) => car.shifts),
    });
    const whole = fleet.kind === 'estimate' ? fleet.rate : Number.NaN;
    expect(vehicles.map(({ vehicleId }) => vehicleId)).toEqual(vehicleIds);
    for (const [i, car] of vehicles.entries()) {
      expect(countsOf(car.rate)).toEqual(byCar[i]);
      const own = byCar[i].events / byCar[i].shifts;
      expect(car.shrunken?.rate).toBeCloseTo(shrunken[i].rate, 12);
      expect(Math.abs((car.shrunken?.rate ?? 0) - whole)).toBeLessThanOrEqual(Math.abs(own - whole));
    }
  });

  it('has a spread of each measured quantity that equals that of the values', async () => {
    const query = `platform=skua&measure=peakJerk&revision=${club.revisionIds[1]}`;
    const answer: SpreadResponse = await made(reviewer.get(`/fleet/spread?${query}`));
    const valuesOf = (rows: readonly StoredShift[]) =>
      rows
        .flatMap(({ shift }) => (shift.measures.peakJerk === null ? [] : [shift.measures.peakJerk]))
        .sort((a, b) => a - b);
    const rows = shifts.filter(under(1));
    const expectSpread = (spread: SpreadResponse['total'], values: readonly number[]) => {
      expect(spread.shifts).toBe(values.length);
      if (spread.kind === 'insufficient') return expect(values.length < 30 || spread.vehicles < 3).toBe(true);
      expect(spread.mean).toBeCloseTo(values.reduce((sum, value) => sum + value, 0) / values.length, 3);
      for (const [share, value] of [
        [0.05, spread.p05],
        [0.5, spread.p50],
        [0.95, spread.p95],
      ]) {
        const truth = values[Math.floor(share * (values.length - 1))];
        expect(Math.abs(value - truth)).toBeLessThanOrEqual(0.0101 * truth);
      }
    };
    expectSpread(answer.total, valuesOf(rows));
    for (const { kind, total, cells } of answer.rows) {
      const ofKind = rows.filter(({ shift }) => shift.kind === kind);
      expectSpread(total, valuesOf(ofKind));
      for (const cell of cells) {
        expectSpread(cell.spread, valuesOf(ofKind.filter(({ bands }) => bands.load === cell.loadBand)));
      }
    }
    const csv = (await reviewer.get(`/fleet/spread.csv?${query}`)).body.trim().split('\r\n');
    expect(csv).toHaveLength(2 + answer.rows.reduce((n, row) => n + row.cells.length + 1, 0));
    expect(csv[0]).toContain('Median of peakJerk (m/s³)');
  });

  it('tells a tester of no cohort that is but a car or two of others', async () => {
    const { tester, otherTester } = club.as;
    const cohorts = (client: Client): Promise<CohortsResponse> => made(client.get('/fleet/cohorts?platform=skua'));
    expect(await cohorts(reviewer)).toEqual({
      // The two cars that the club was founded with speak sand too.
      dialects: [
        { value: 'sand', vehicles: 8 },
        { value: 'shingle', vehicles: 6 },
      ],
      engines: [
        { value: '1.8 petrol', vehicles: 2 },
        { value: '2.0 diesel', vehicles: 10 },
        { value: '3.0 diesel', vehicles: 2 },
      ],
      programs: ['calm', 'brisk'],
    });
    expect((await cohorts(tester)).engines).toEqual([{ value: '2.0 diesel', vehicles: 10 }]);
    const petrol = `platform=skua&engine=${encodeURIComponent('1.8 petrol')}`;
    const total = async (client: Client) => (await made(client.get(`/fleet/matrix?${petrol}`))).total.shifts;
    expect(await total(reviewer)).toBeGreaterThan(0);
    expect(await total(tester)).toBe(0);
    // Its owner asks for cars of no one else.
    expect(await total(otherTester)).toBe(await total(reviewer));
    for (const path of [
      `/fleet/overview?${petrol}`,
      `/fleet/trend?${petrol}`,
      `/fleet/matrices?${petrol}`,
      `/fleet/spread?${petrol}&measure=peakJerk`,
      `/fleet/vehicles?${petrol}`,
      `/fleet/matrix.csv?${petrol}`,
      `/fleet/spread.csv?${petrol}&measure=peakJerk`,
    ]) {
      const nothing = petrol.replace('1.8', '9.9');
      const answers = await Promise.all([path, path.replace(petrol, nothing)].map((one) => tester.get(one)));
      expect(answers.map(({ statusCode }) => statusCode)).toEqual([200, 200]);
      expect(answers[0].body).toBe(answers[1].body);
    }
  });

  it('names a tester no car but the own ones', async () => {
    const { vehicles }: FleetVehiclesResponse = await made(club.as.tester.get('/fleet/vehicles?platform=skua'));
    expect(vehicles.map(({ vehicleId }) => vehicleId)).toEqual(vehicleIds.slice(0, 2));
    const texts = await Promise.all(
      ['matrix', 'matrices', 'trend', 'coverage', 'cohorts', 'overview'].map(
        async (what) => (await club.as.tester.get(`/fleet/${what}?platform=skua`)).body,
      ),
    );
    for (const id of vehicleIds) expect(texts.join()).not.toContain(id);
  });
});

describe('two revisions', () => {
  const query = () => `base=${club.revisionIds[0]}&other=${club.revisionIds[1]}`;
  const both = () => shifts.filter((shift) => under(0)(shift) || under(1)(shift));
  /** As the rows of a comparison; a shift without load is like no other. */
  const rowsOf = (rows: readonly StoredShift[]): OutcomeRow[] =>
    rows.filter(canTellFlare).map((shift) => {
      const { load, temperature } = shift.bands;
      const revision = under(0)(shift) ? 'older' : 'newer';
      const place = [shift.shift.kind, load, temperature, shift.program, load === -1 ? revision : ''].join('|');
      return { vehicle: shift.vehicleId, stratum: place, revision, shifts: 1, events: isFlare(shift) ? 1 : 0 };
    });

  it('are compared as a comparison of their single shifts says', async () => {
    const answer: CompareOutcomesResponse = await made(reviewer.get(`/compare/outcomes?${query()}`));
    const truth = compareOutcomes(tabulateOutcomes(rowsOf(both())));
    const [flare] = answer.measures;
    expect(countsOf(flare.baseRate)).toEqual(counted(shifts.filter(under(0))));
    if (truth.kind !== 'estimate' || flare.adjusted.kind !== 'estimate' || flare.unadjusted.kind !== 'estimate') {
      throw new Error('expected estimates');
    }
    expect(flare.adjusted.difference).toBeCloseTo(truth.adjusted.difference, 10);
    expect(flare.adjusted.low).toBeCloseTo(truth.adjusted.low, 10);
    expect(flare.unadjusted.high).toBeCloseTo(truth.unadjusted.high, 10);
    expect(flare.adjusted.difference).toBeLessThan(0);
  });

  it('are taken apart by kind, load and car, and each part is compared alike', async () => {
    const whole: CompareOutcomesResponse = await made(reviewer.get(`/compare/outcomes?${query()}`));
    const detail: CompareDetailResponse = await made(reviewer.get(`/compare/outcomes/detail?${query()}&measure=flare`));
    const { measure, ...flare } = whole.measures[0];
    expect(measure).toBe('flare');
    expect(detail.whole).toEqual(flare);
    expect(detail.byKind.map(({ kind }) => kind)).toEqual(['1-2', '2-3', '3-2']);
    expect(detail.byLoadBand.map(({ loadBand }) => loadBand)).toEqual([-1, 0, 1, 2, 3, 4, 5]);
    for (const { kind, baseRate, adjusted } of detail.byKind) {
      const part = both().filter(({ shift }) => shift.kind === kind);
      expect(countsOf(baseRate)).toEqual(counted(part.filter(under(0))));
      const truth = compareOutcomes(tabulateOutcomes(rowsOf(part)));
      expect(adjusted.kind).toBe(truth.kind);
      if (truth.kind !== 'estimate' || adjusted.kind !== 'estimate') continue;
      expect(adjusted.difference).toBeCloseTo(truth.adjusted.difference, 10);
      expect(adjusted.low).toBeCloseTo(truth.adjusted.low, 10);
    }
    const [unknownLoad] = detail.byLoadBand;
    expect(unknownLoad).toMatchObject({ label: 'not logged', adjusted: { kind: 'insufficient', reason: 'noOverlap' } });
    expect(detail.byVehicle.map(({ title }) => title).sort()).toEqual(
      vehicleIds.map((_, i) => `Car ${String(i).padStart(2, '0')}`),
    );
    expect(detail.byVehicle.reduce((sum, { weight }) => sum + weight, 0)).toBeCloseTo(1, 9);
    expect(detail.byVehicle.reduce((sum, { baseEvents }) => sum + baseEvents, 0)).toBe(flare.baseRate.events);
  });

  it('overlap in the driving that both have', async () => {
    const { overlap, cells, loadBands }: CompareOverlapResponse = await made(
      reviewer.get(`/compare/outcomes/overlap?${query()}`),
    );
    const rows = both();
    const strata = (i: number) =>
      new Set(
        rows
          .filter(under(i))
          .map(({ shift, bands, program }) => [shift.kind, bands.load, bands.temperature, program].join()),
      );
    const [base, other] = [strata(0), strata(1)];
    const common = rows.filter(({ shift, bands, program }) => {
      const place = [shift.kind, bands.load, bands.temperature, program].join();
      return bands.load !== -1 && base.has(place) && other.has(place);
    });
    expect(overlap).toBeCloseTo(common.length / rows.length, 12);
    expect(cells.reduce((sum, cell) => sum + cell.baseShare, 0)).toBeCloseTo(1, 12);
    const { baseShare } = cells.find(({ kind, loadBand }) => kind === '2-3' && loadBand === 4) ?? { baseShare: 0 };
    const there = rows.filter(({ shift, bands }) => shift.kind === '2-3' && bands.load === 4);
    expect(baseShare).toBeCloseTo(there.filter(under(0)).length / rows.filter(under(0)).length, 12);
    expect(loadBands.at(-1)).toEqual({ index: -1, label: 'not logged' });
  });

  it('differ in the mean of a measured quantity by what the second does to it', async () => {
    const { measures }: CompareSpreadsResponse = await made(reviewer.get(`/compare/outcomes/spreads?${query()}`));
    const jerk = measures.find(({ measure }) => measure === 'peakJerk');
    const values = (i: number) =>
      shifts
        .filter(under(i))
        .flatMap(({ shift }) => (shift.measures.peakJerk === null ? [] : [shift.measures.peakJerk]));
    expect(jerk?.baseShifts).toBe(values(0).length);
    expect(jerk?.baseMean).toBeCloseTo(values(0).reduce((sum, value) => sum + value, 0) / values(0).length, 3);
    if (jerk?.adjusted.kind !== 'estimate') throw new Error('expected an estimate');
    expect(jerk.adjusted.low).toBeLessThan(JERK_CHANGE);
    expect(jerk.adjusted.high).toBeGreaterThan(JERK_CHANGE);
    expect(jerk.adjusted.high - jerk.adjusted.low).toBeLessThan(1);
    expect(jerk.adjusted.probabilityBetter).toBeGreaterThan(0.999);
    // The same delay in every shift: nothing varies, and no difference is claimed.
    expect(measures.find(({ measure }) => measure === 'delayS')?.adjusted.kind).toBe('insufficient');
  });

  it('are refused where they cannot be compared, by every route alike', async () => {
    const [base] = club.revisionIds;
    for (const path of ['', '/detail', '/overlap', '/spreads']) {
      const same = await reviewer.get(`/compare/outcomes${path}?base=${base}&other=${base}&measure=flare`);
      expect([same.statusCode, same.json().code]).toEqual([422, 'comparison.incompatible']);
      const none = await reviewer.get(`/compare/outcomes${path}?base=${base}&other=none&measure=flare`);
      expect(none.statusCode).toBe(404);
    }
  });
});

describe('facets and distributions of shifts', () => {
  const facets = (client: Client, query: string): Promise<ShiftFacetsResponse> =>
    made(client.get(`/shifts/facets?${query}`));

  it('count the cars in scope only', async () => {
    const own = await facets(club.as.tester, 'platform=skua');
    expect(own.vehicles.map(({ label }) => label)).toEqual(['Car 00', 'Car 01']);
    expect(own.totalCount).toBe(shifts.filter((shift) => carNumber(shift) < 2).length);
    const all = await facets(reviewer, 'platform=skua&kind=1-2&loadMin=30');
    expect(all.vehicles).toHaveLength(12);
    expect(all.totalCount).toBe((await made(reviewer.get('/shifts?platform=skua&kind=1-2&loadMin=30'))).totalCount);
    const other = await facets(club.as.tester, `vehicle=${vehicleIds[5]}`);
    expect(other.totalCount).toBe(0);
    const distribution: ShiftDistributionResponse = await made(
      club.as.tester.get('/shifts/distribution?quantity=peakJerk&grade=harsh'),
    );
    const harsh = shifts.filter((shift) => carNumber(shift) < 2 && shift.grades.includes('harsh'));
    expect(distribution).toMatchObject({ everyNthDrive: 1, measuredCount: harsh.length, unmeasuredCount: 0 });
    expect(distribution.edges).toHaveLength(distribution.counts.length + 1);
  });

  it('and comparisons tell of a drive as soon as it is analysed', async () => {
    const path = `/compare/outcomes?base=${club.revisionIds[0]}&other=${club.revisionIds[1]}`;
    const rate = async () => (await made(reviewer.get(path))).measures[0].baseRate;
    const before = { facets: await facets(reviewer, 'grade=flare'), rate: await rate() };
    const flares = shifts.filter(isFlare).slice(0, 7);
    addDrive(server.store, { vehicleId: vehicleIds[3], revisionId: club.revisionIds[0], seed: 900, shifts: flares });
    expect((await facets(reviewer, 'grade=flare')).totalCount).toBe(before.facets.totalCount + 7);
    expect(countsOf(await rate())).toEqual({
      ...countsOf(before.rate),
      events: before.rate.events + 7,
      shifts: before.rate.shifts + 7,
    });
  });
});
