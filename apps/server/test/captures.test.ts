import {
  type BusDialect,
  busSignalsOf,
  KELP_BUS,
  MARRAM_BUS,
  TERN_BUSES,
  TERN_LAYOUT,
  TERN_PLATFORM,
  ternCalibration,
} from '@syncline/drivetrain';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { busCapture, busMap, TERN_CAR } from './support/bus-capture.js';
import { type Club, drive, foundClub, made, SIGNAL_MAP } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const TERN = `/platforms/${TERN_PLATFORM.id}`;

let server: TestServer;
let club: Club;
let revisionId: string;
let seed = 0;

beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  const { maintainer } = club.as;
  await made(maintainer.post('/platforms', TERN_PLATFORM));
  await made(maintainer.post(`${TERN}/layouts`, TERN_LAYOUT));
  const { id } = await made(maintainer.post('/calibrations', { title: 'Tern', platformId: TERN_PLATFORM.id }));
  const body = { parentId: null, message: 'first', content: ternCalibration('r1') };
  revisionId = (await made(maintainer.post(`/calibrations/${id}/revisions`, body))).id;
});
afterAll(() => server.close());

const newCar = async (declaredDialect: string | null): Promise<string> =>
  (await made(club.as.tester.post('/vehicles', { ...TERN_CAR, title: `Car ${++seed}`, declaredDialect }))).id;

/** Uploads half a minute of a bus for a car and waits until it was looked at; answers the log. */
async function capture(vehicleId: string, bus: BusDialect, durationS = 30) {
  server.time.nowMs += 60_000;
  const fileName = `capture-${++seed}.log`;
  return drive(server, club.as.tester, vehicleId, busCapture(bus, seed, durationS), { fileName });
}

const dialectOf = (vehicleId: string) => made(club.as.tester.get(`/vehicles/${vehicleId}/dialect`));
const install = (who: 'tester' | 'maintainer', vehicleId: string) =>
  club.as[who].post(`/vehicles/${vehicleId}/installations`, { revisionId });
const declare = (vehicleId: string, declaredDialect: string | null) =>
  made(club.as.tester.patch(`/vehicles/${vehicleId}`, { declaredDialect }));
const setSignals = (bus: BusDialect, signals: readonly unknown[] = busSignalsOf(bus)) =>
  club.as.maintainer.put(`${TERN}/dialects/${bus.id}/signals`, { signals });

/** A car that a maintainer has looked into, so that its captures may be learned from. */
async function inspectedCar(bus: BusDialect): Promise<string> {
  const vehicleId = await newCar(bus.id);
  const seen = { dialect: bus.id, source: 'inspection', note: 'seen on the connector' };
  await made(club.as.maintainer.post(`/vehicles/${vehicleId}/observations`, seen));
  return vehicleId;
}

describe('before a dialect is known', () => {
  it('a capture waits and says which signal list is missing, and is read once list and map are there', async () => {
    const vehicleId = await newCar('kelp');
    const waiting = await capture(vehicleId, KELP_BUS);
    expect(waiting).toMatchObject({ state: 'awaitingMap', problem: { code: 'busSignals.missing' } });
    expect(waiting.problem.detail).toContain('Kelp bus (Tern six-speed)');
    expect(waiting.inspection).toMatchObject({ format: 'candump', columns: [{ name: 'time' }] });
    await made(setSignals(KELP_BUS));
    await server.jobs.idle();
    const listed = await made(club.as.tester.get(`/logs/${waiting.id}`));
    expect(listed).toMatchObject({ state: 'awaitingMap', problem: null });
    expect(listed.inspection.suggestion.signals).toHaveLength(busMap(KELP_BUS).signals.length);
    expect(listed.inspection.reasons[0]).toBe('Read by list 1 of the bus signals of Kelp bus.');
    const { suggestion } = listed.inspection;
    await made(club.as.tester.put(`/vehicles/${vehicleId}/signal-map?format=candump`, suggestion));
    await server.jobs.idle();
    const read = await made(club.as.tester.get(`/logs/${waiting.id}`));
    expect(read).toMatchObject({
      state: 'ready',
      shiftCount: 0,
      drivenAt: expect.stringMatching(/^2026-02-20T10:00:00/),
    });
    expect(read.quality).toMatchObject({
      timing: { rateHz: expect.closeTo(100, -1), suitability: 'good' },
      join: { base: 'inputSpeed' },
      findings: [],
    });
    expect(read.quality.bus.frames).toBeGreaterThan(15_000);
    expect(read.capture).toMatchObject({ observed: null, doubt: 'none_known', verdict: 'unknown' });
  });

  it('a capture of a car that declares nothing waits until something is declared', async () => {
    const vehicleId = await newCar(null);
    const waiting = await capture(vehicleId, KELP_BUS);
    expect(waiting.problem).toMatchObject({
      code: 'busSignals.missing',
      detail: expect.stringContaining('none is declared'),
    });
    await declare(vehicleId, 'kelp');
    await server.jobs.idle();
    expect(await made(club.as.tester.get(`/logs/${waiting.id}`))).toMatchObject({
      state: 'awaitingMap',
      problem: null,
    });
  });

  it('a capture tells nothing of its car, and an inspection before it stands', async () => {
    const vehicleId = await inspectedCar(KELP_BUS);
    await capture(vehicleId, KELP_BUS);
    expect(await dialectOf(vehicleId)).toMatchObject({
      verdict: 'confirmed',
      isCleared: true,
      checks: [{ doubt: 'none_known', reason: 'no dialect of this platform is known yet' }],
    });
  });
});

describe('a signal list', () => {
  it('names each entry at fault, and nothing is kept of it', async () => {
    const [first, second] = busSignalsOf(MARRAM_BUS);
    const response = await setSignals(MARRAM_BUS, [first, { ...second, startBit: -1, scale: 0 }, { ...first }]);
    expect(response.json()).toMatchObject({
      status: 422,
      code: 'busSignals.invalid',
      findings: [{ where: 'signals.1.startBit' }, { where: 'signals.1.scale' }, { where: 'signals.2.name' }],
    });
    const { list } = await made(club.as.tester.get(`${TERN}/dialects/marram/signals`));
    expect(list).toBeNull();
  });

  it('comes back as it was entered, under the next version, without what is no part of a signal', async () => {
    const signals = busSignalsOf(MARRAM_BUS);
    await made(setSignals(MARRAM_BUS, [{ ...signals[0], comment: 'ours' }]));
    await made(setSignals(MARRAM_BUS));
    const { list } = await made(club.as.tester.get(`${TERN}/dialects/marram/signals`));
    expect(list).toMatchObject({ version: 2, signals, byName: 'Marram' });
    expect((await club.as.tester.get(`${TERN}/dialects/dune/signals`)).statusCode).toBe(404);
  });
});

describe('a dialect profile', () => {
  it('is learned from captures of confirmed cars only, and says from which', async () => {
    const { maintainer } = club.as;
    const unsure = await capture(await newCar('kelp'), KELP_BUS);
    const refused = await maintainer.post(`${TERN}/dialects/kelp/learn`, { captureIds: [unsure.id] });
    expect(refused.json()).toMatchObject({ status: 422, code: 'dialect.captureUnfit' });
    expect(refused.json().detail).toContain('not confirmed to speak kelp');
    for (const bus of TERN_BUSES) {
      const vehicleId = await inspectedCar(bus);
      const captureIds = [(await capture(vehicleId, bus)).id, (await capture(vehicleId, bus)).id];
      const learned = await made(maintainer.post(`${TERN}/dialects/${bus.id}/learn`, { captureIds }));
      expect(learned.profile).toMatchObject({ version: 1, captureIds, captureCount: 2, byName: 'Marram' });
      const periods = new Map(bus.frames.map(({ identifier, periodS }) => [identifier, periodS]));
      expect(learned.profile.identifiers).toHaveLength(periods.size);
      for (const { identifier, periodS } of learned.profile.identifiers) {
        expect(periodS / (periods.get(identifier) ?? NaN)).toBeCloseTo(1, 1);
      }
    }
    await server.jobs.idle();
  });

  it('checks the newest capture of every car again, so that none need be uploaded twice', async () => {
    const { items } = await made(club.as.maintainer.get(`${TERN}/captures`));
    expect(items.length).toBeGreaterThan(5);
    const kelp = items.filter((item: { observedDialect: string }) => item.observedDialect === 'kelp');
    expect(kelp.map((item: { verdict: string }) => item.verdict)).toContain('confirmed');
  });

  it('may be entered, and names each entry at fault', async () => {
    const { profile } = await made(club.as.maintainer.get(`${TERN}/dialects/kelp/profile`));
    const [first, second, ...rest] = profile.identifiers;
    const put = (identifiers: unknown[]) => club.as.maintainer.put(`${TERN}/dialects/kelp/profile`, { identifiers });
    const bad = await put([first, { ...second, periodS: 0 }, { ...first, identifier: 0x800 }]);
    expect(bad.json()).toMatchObject({
      code: 'request.invalid',
      fields: [{ path: 'body.identifiers.1.periodS' }, { path: 'body.identifiers.2.identifier' }],
    });
    expect((await put([first, first])).json()).toMatchObject({
      code: 'dialectProfile.invalid',
      findings: [{ where: 'identifiers.1' }],
    });
    const kept = await made(put([first, second, ...rest]));
    expect(kept.profile).toMatchObject({ version: 2, captureIds: [], identifiers: profile.identifiers });
    await server.jobs.idle();
  });
});

describe('a car', () => {
  it.each(TERN_BUSES)('on the $title is confirmed by one capture and may then run a revision', async (bus) => {
    const vehicleId = await newCar(bus.id);
    expect((await install('tester', vehicleId)).json()).toMatchObject({ code: 'vehicle.dialectUnverified' });
    await capture(vehicleId, bus);
    expect(await dialectOf(vehicleId)).toMatchObject({ verdict: 'confirmed', isCleared: true });
    expect((await install('tester', vehicleId)).statusCode).toBe(201);
  });

  it('whose label lies is contradicted with the identifiers that disagree, and read by the list of its true bus', async () => {
    const vehicleId = await newCar('marram');
    await made(club.as.tester.put(`/vehicles/${vehicleId}/signal-map?format=candump`, busMap(KELP_BUS)));
    const log = await capture(vehicleId, KELP_BUS);
    expect(log).toMatchObject({ state: 'ready', capture: { observed: 'kelp', verdict: 'contradicted' } });
    expect(log.inspection.reasons[0]).toContain('Kelp bus');
    const { series } = await made(club.as.tester.get(`/logs/${log.id}/signals?signals=engineSpeed`));
    expect(Math.max(...series[0].max)).toBeLessThan(900);
    const { checks, reason } = await dialectOf(vehicleId);
    expect(reason).toContain('observed to speak kelp, but marram is declared');
    const declared = checks[0].scores.find((score: { dialect: string }) => score.dialect === 'marram');
    const seen = declared.disagreements.map((entry: { kind: string; identifier: string }) => [
      entry.kind,
      entry.identifier,
    ]);
    expect(seen.sort()).toEqual([
      ['length', '2C4'],
      ['missing', '3D2'],
      ['missing', '607'],
      ['period', '1A8'],
      ['period', '4F0'],
      ['unexpected', '3D6'],
      ['unexpected', '60B'],
    ]);
    expect(declared.disagreements).toContainEqual({
      kind: 'period',
      identifier: '1A8',
      expected: 'every 20 ms',
      found: 'every 25 ms',
    });
  });

  it('that is contradicted runs nothing, whoever asks, before a maintainer has decided with a reason', async () => {
    const vehicleId = await newCar('marram');
    await capture(vehicleId, KELP_BUS);
    for (const who of ['tester', 'maintainer'] as const) {
      const response = await install(who, vehicleId);
      expect(response.json()).toMatchObject({ status: 422, code: 'vehicle.dialectUnverified' });
      expect(response.json().detail).toContain('observed to speak kelp, but marram is declared');
    }
    const decide = (body: object) => club.as.maintainer.post(`/vehicles/${vehicleId}/dialect/decisions`, body);
    expect((await decide({ decision: 'accept', reason: ' ' })).statusCode).toBe(400);
    const accepted = await made(decide({ decision: 'accept', reason: 'its unit was swapped, the bus is kelp' }));
    expect(accepted).toMatchObject({ verdict: 'contradicted', isCleared: true, decisions: [{ lapsedAt: null }] });
    expect((await install('tester', vehicleId)).statusCode).toBe(201);
    await made(decide({ decision: 'refuse', reason: 'the wiring is unclear' }));
    expect((await install('maintainer', vehicleId)).statusCode).toBe(422);
    const [audited] = (await made(club.as.maintainer.get('/audit?limit=1'))).items;
    expect(audited).toMatchObject({ action: 'vehicle.decideDialect' });
  });

  it('is not confirmed by declaring what was observed of it; a new capture does that', async () => {
    const vehicleId = await newCar('marram');
    await capture(vehicleId, KELP_BUS);
    await declare(vehicleId, 'kelp');
    expect(await dialectOf(vehicleId)).toMatchObject({
      verdict: 'unknown',
      isCleared: false,
      reason: expect.stringContaining('declared only after it had been observed'),
    });
    expect((await install('tester', vehicleId)).statusCode).toBe(422);
    await capture(vehicleId, KELP_BUS);
    expect(await dialectOf(vehicleId)).toMatchObject({ verdict: 'confirmed', isCleared: true });
  });

  it('has the decision about it lapse when it is declared anew', async () => {
    const vehicleId = await newCar('marram');
    const body = { decision: 'accept', reason: 'known from the build' };
    await made(club.as.maintainer.post(`/vehicles/${vehicleId}/dialect/decisions`, body));
    expect((await install('tester', vehicleId)).statusCode).toBe(201);
    await declare(vehicleId, 'kelp');
    const { isCleared, decisions, reason } = await dialectOf(vehicleId);
    expect({ isCleared, lapsed: decisions[0].lapsedAt !== null }).toEqual({ isCleared: false, lapsed: true });
    expect(reason).toContain('has lapsed');
    expect((await install('tester', vehicleId)).statusCode).toBe(422);
  });

  it('stays as it was after a capture that is too short to tell', async () => {
    const vehicleId = await newCar('kelp');
    const log = await capture(vehicleId, KELP_BUS, 5);
    expect(log.capture).toMatchObject({ observed: null, doubt: 'too_little' });
    expect(await dialectOf(vehicleId)).toMatchObject({ verdict: 'unknown', observedDialect: null });
  });

  it('uploads tables and captures, each read by a map of its own', async () => {
    const vehicleId = await newCar('kelp');
    const path = `/vehicles/${vehicleId}/signal-map`;
    await made(club.as.tester.put(path, SIGNAL_MAP));
    const saved = await made(club.as.tester.put(`${path}?format=candump`, busMap(KELP_BUS)));
    expect(saved).toMatchObject({ format: 'candump', mappedFormats: ['candump', 'csv'] });
    const table = await drive(server, club.as.tester, vehicleId, syntheticDriveCsv());
    const log = await capture(vehicleId, KELP_BUS);
    expect([table.inspection.format, log.inspection.format]).toEqual(['csv', 'candump']);
    expect([table.state, log.state]).toEqual(['ready', 'ready']);
    expect(table.capture).toBeNull();
    expect((await made(club.as.tester.get(path))).map).toEqual(SIGNAL_MAP);
  });

  it('has its gear letters read by the codes of its map, which come back as they were saved', async () => {
    const vehicleId = await newCar(null);
    const path = `/vehicles/${vehicleId}/signal-map`;
    const codes = { S1: 1, S2: 2, S3: 3, X: null };
    const signals = SIGNAL_MAP.signals.map((entry) => (entry.signal === 'gearTarget' ? { ...entry, codes } : entry));
    const saved = await made(club.as.tester.put(path, { ...SIGNAL_MAP, signals }));
    expect(saved.map.signals).toContainEqual(expect.objectContaining({ signal: 'gearTarget', codes }));
    const csv = syntheticDriveCsv({ offsetRpm: 3 }).replace(/,([123]),40,80\n/g, ',S$1,40,80\n');
    const log = await drive(server, club.as.tester, vehicleId, csv);
    expect(log).toMatchObject({ state: 'ready', readFindings: { damagedRowCount: 0 } });
    const { series } = await made(club.as.tester.get(`/logs/${log.id}/signals?signals=gearTarget&points=4000`));
    expect(new Set(series[0].max)).toEqual(new Set([1, 2, 3]));
    const refused = await club.as.tester.put(path, {
      ...SIGNAL_MAP,
      signals: SIGNAL_MAP.signals.map((entry) => (entry.signal === 'load' ? { ...entry, codes } : entry)),
    });
    expect(refused.json()).toMatchObject({ code: 'signalMap.invalid', findings: [{ where: 'load (%)' }] });
  });

  it('keeps its dialect to itself', async () => {
    const vehicleId = await newCar('kelp');
    expect((await club.as.otherTester.get(`/vehicles/${vehicleId}/dialect`)).statusCode).toBe(404);
  });
});
