import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CAR, type Club, drive, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

const DATA = fileURLToPath(new URL('../../../../shared/data/', import.meta.url));

/** Real recordings lie beside the checkout; see the README there for origin and licence. */
function recording(path: string): Buffer {
  if (!existsSync(DATA + path)) throw new Error(`The recordings are absent: expected ${DATA}${path}.`);
  return readFileSync(DATA + path);
}

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterAll(() => server.close());

const clutches = ['A', 'B', 'C'].map((id) => ({ id, title: `Clutch ${id}`, kind: 'clutch' as const }));

/** Plateaus of turbine over wheel speed stand as 1.42 : 1 : 0.713 : 0.608 for gears 3 to 6 (README of the recordings). */
const RELATIVE_TO_WHEEL = {
  id: 'six-speed',
  title: 'Six-speed, ratios relative to wheel speed',
  gears: [1.42, 1, 0.713, 0.608].map((ratio, i) => ({ gear: i + 3, ratio, applied: [] })),
  clutches,
  shifts: ['3-4', '4-5', '5-6', '6-5', '6-4', '5-4', '4-3'].map((id) => ({
    id,
    from: Number(id[0]),
    to: Number(id[2]),
  })),
  programs: [{ id: 'normal', title: 'Normal', code: 0 }],
  dialects: [],
  ratedInputTorqueNm: 200,
  inputInertiaKgM2: 0.1,
};

describe('the recording of a six-speed in town', () => {
  // Median of turbine over wheel speed on the fourth-gear plateaus of the recording. With any tyre radius it sets the
  // one constant that turns wheel speed into a shaft speed to which the ratios are relative.
  const RPM_PER_KMH_IN_FOURTH = 31.45;
  const TYRE_RADIUS_M = 0.35;
  const finalDriveRatio = RPM_PER_KMH_IN_FOURTH / (1000 / 60 / (2 * Math.PI * TYRE_RADIUS_M));

  it('uploaded as it is, shows its seven complete shifts and the one that the end cuts', async () => {
    await made(club.as.maintainer.post('/platforms', RELATIVE_TO_WHEEL));
    const { id: vehicleId } = await made(
      club.as.tester.post('/vehicles', {
        title: 'Town car',
        platformId: 'six-speed',
        massKg: 1700,
        ratedInputTorqueNm: 200,
        inputInertiaKgM2: 0.1,
        tyreRadiusM: TYRE_RADIUS_M,
        finalDriveRatio,
      }),
    );
    const bytes = recording('rav4/rav4_decoded_turbine.csv.gz');
    const waiting = await drive(server, club.as.tester, vehicleId, bytes, { fileName: 'town.csv.gz' });
    expect(waiting.state).toBe('awaitingMap');
    await made(club.as.tester.put(`/vehicles/${vehicleId}/signal-map`, MAP_OF_TOWN_DRIVE));
    await server.jobs.idle();
    const log = await made(club.as.tester.get(`/logs/${waiting.id}`));
    expect(log).toMatchObject({ state: 'ready', problem: null });

    const truth = recording('rav4/shift_truth_rav4.csv').toString().trim().split('\n').slice(1);
    const { shifts } = await made(club.as.tester.get(`/logs/${log.id}/shifts`));
    const found = shifts as { kind: string; commandS: number; outcome: string; isSkip: boolean }[];
    expect(found.map((shift) => shift.kind)).toEqual(['3-4', '4-5', '5-6', '6-4', '4-5', '5-4', '4-5', '5-4']);
    expect(found).toHaveLength(truth.length);
    expect(found.map((shift) => shift.outcome)).toEqual([...Array(7).fill('complete'), 'cut']);
    expect(found.filter((shift) => shift.isSkip).map((shift) => shift.kind)).toEqual(['6-4']);
  });
});

describe('the recording of two-second means', () => {
  it('is read, kept and refused for timing with the reason', async () => {
    const owner = club.as.otherTester;
    const { id: vehicleId } = await made(owner.post('/vehicles', { ...CAR, title: 'Logger of means' }));
    await made(owner.put(`/vehicles/${vehicleId}/signal-map`, MAP_OF_MEANS));
    const bytes = recording('gm_global_a/CANLOG_000_nogps.csv.gz');
    const log = await drive(server, owner, vehicleId, bytes, { fileName: 'means.csv.gz' });
    expect(log).toMatchObject({ state: 'refused', shiftCount: 0, problem: { code: 'log.noTiming' } });
    expect(log.problem.detail).toMatch(/One sample every 2\.0\d s/);
    // README of the recordings: fluid 24 to 51 °C.
    const { series } = await made(owner.get(`/logs/${log.id}/signals?signals=fluidTemperature&points=4000`));
    expect(Math.min(...series[0].min.filter((value: number | null) => value !== null))).toBeCloseTo(24, 0);
    expect(Math.max(...series[0].max)).toBeCloseTo(51, 0);
  });
});

const MAP_OF_MEANS = {
  time: { column: 'time', format: 'clock' },
  signals: [
    { signal: 'engineSpeed', column: 'engine_speed', unit: 'rpm' },
    { signal: 'gear', column: 'transmission_estimated_gear', unit: '' },
    { signal: 'fluidTemperature', column: 'trans_oil_temp', unit: '°C' },
  ],
};

const MAP_OF_TOWN_DRIVE = {
  time: { column: 'time_s', format: 'seconds' },
  signals: [
    { signal: 'engineSpeed', column: 'engine_rpm', unit: 'rpm' },
    { signal: 'inputSpeed', column: 'turbine_rpm', unit: 'rpm' },
    { signal: 'outputSpeed', column: 'wheel_mean_kmh', unit: 'km/h' },
    { signal: 'gearTarget', column: 'gear_commanded', unit: '' },
    { signal: 'pedal', column: 'pedal_pct', unit: '%' },
    { signal: 'inputTorque', column: 'engine_torque_nm', unit: 'N·m' },
    { signal: 'fluidTemperature', column: 'atf_c', unit: '°C' },
  ],
};
