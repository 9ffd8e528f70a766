import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import type { ShiftRow } from '@syncline/contract';
import {
  busSignalsOf,
  type DriveLog,
  driveTern,
  MARRAM_BUS,
  MARRAM_DIALECT,
  STEADY_SAMPLING,
  TERN_PLATFORM,
  ternDrives,
  ternFleet,
  writeCandumpLog,
  writeCsvLog,
} from '@syncline/drivetrain';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type WrittenChannel, writeMdf } from '../../../packages/drivelog/test/mdf-writer.js';
import { busMap, TERN_CAR } from './support/bus-capture.js';
import { type Club, drive, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

const START_MS = Date.UTC(2026, 1, 20, 10);
/** The columns of the Marram dialect, written by every logger here: what they hold has these decimals. */
const COLUMNS = MARRAM_DIALECT.columns.flatMap((column) => (column.kind === 'signal' ? [column] : []));
const MAP = {
  time: { column: 'time', format: 'seconds' },
  signals: COLUMNS.map(({ name, signal, unit }) => ({ signal, column: name, unit })),
};

/** 100 Hz without jitter: the moments of a bus that sends its speeds every 10 ms. */
const car = { ...ternFleet('same', 1)[0], sampling: { ...STEADY_SAMPLING, jitter: 0 } };
const plan = { ...ternDrives('same', 1, 1)[0], kind: 'mixed' as const, durationS: 300, revision: 'r1' as const };
const { log } = driveTern(plan, car);
const rounded = (value: number, decimals: number) => Math.round(value * 10 ** decimals) / 10 ** decimals;
const rows = Array.from(log.timeS, (timeS, i) => [
  rounded(timeS, 3),
  ...COLUMNS.map(({ signal, decimals }) =>
    rounded((log.signals as Required<DriveLog['signals']>)[signal][i], decimals),
  ),
]);

function asCsv(): Buffer {
  return Buffer.concat([...writeCsvLog(log, MARRAM_DIALECT, START_MS)]);
}

function asJsonLines(): Buffer {
  const names = ['time', ...COLUMNS.map(({ name }) => name)];
  const line = (row: readonly number[]) => JSON.stringify(Object.fromEntries(row.map((value, i) => [names[i], value])));
  return Buffer.from(`${rows.map(line).join('\n')}\n`);
}

function asMdf(): Buffer {
  const channel = (name: string, unit: string, index: number): WrittenChannel => ({
    name,
    unit,
    dataType: 4,
    byteOffset: 8 * index,
    bitCount: 64,
  });
  const dataBytes = 8 * (COLUMNS.length + 1);
  const records = rows.map((row) => {
    const view = new DataView(new ArrayBuffer(dataBytes));
    for (const [i, value] of row.entries()) view.setFloat64(8 * i, value, true);
    return new Uint8Array(view.buffer);
  });
  const channels = [
    { ...channel('time', 's', 0), type: 2, syncType: 1 },
    ...COLUMNS.map(({ name, unit }, i) => channel(name, unit, i + 1)),
  ];
  const startNs = BigInt(START_MS) * 1_000_000n;
  return Buffer.from(writeMdf({ dataGroups: [[{ channels, dataBytes, records }]], packing: 'DT', startNs }));
}

function asCandump(): Buffer {
  return Buffer.concat([...writeCandumpLog(log, MARRAM_BUS, { startUtcMs: START_MS, seed: 1, jitter: 0 })]);
}

let server: TestServer;
let club: Club;
let vehicleId: string;
const readAs = new Map<string, object>();
const shiftsOf = new Map<string, ShiftRow[]>();

beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  const { maintainer, tester } = club.as;
  await made(maintainer.post('/platforms', TERN_PLATFORM));
  await made(
    maintainer.put(`/platforms/${TERN_PLATFORM.id}/dialects/marram/signals`, { signals: busSignalsOf(MARRAM_BUS) }),
  );
  const profile = { ...TERN_CAR, title: 'One drive, four loggers', declaredDialect: 'marram' };
  vehicleId = (await made(tester.post('/vehicles', profile))).id;
  const csvMap = {
    ...MAP,
    time: { ...MAP.time, column: 'time [s]' },
    signals: MAP.signals.map((entry) => ({
      ...entry,
      column: entry.unit === '' ? `${entry.column}` : `${entry.column} [${entry.unit}]`,
    })),
  };
  const files = [
    ['csv', asCsv(), csvMap],
    ['jsonLines', asJsonLines(), MAP],
    ['mdf', asMdf(), MAP],
    ['candump', asCandump(), busMap(MARRAM_BUS)],
  ] as const;
  for (const [format, bytes, map] of files) {
    await made(tester.put(`/vehicles/${vehicleId}/signal-map?format=${format}`, map));
    const read = await drive(server, tester, vehicleId, bytes, { fileName: `drive.${format}` });
    readAs.set(format, read);
    shiftsOf.set(format, (await made(tester.get(`/logs/${read.id}/shifts`))).shifts);
  }
});
afterAll(() => server.close());

/** What a shift was, apart from the file that it was found in and when that says it was driven. */
function figures({ id: _id, logId: _logId, drivenAt: _drivenAt, ...shift }: ShiftRow) {
  return shift;
}

it.each(['csv', 'jsonLines', 'mdf', 'candump'])('is read as %s without a remark', (format) => {
  expect(readAs.get(format)).toMatchObject({ state: 'ready', problem: null, inspection: { format } });
});

it('leaves nothing behind of what had to be unpacked to be read', () => {
  expect(readdirSync(join(server.folder, 'data', 'scratch'))).toEqual([]);
});

it('has shifts of every kind that matter here', () => {
  const shifts = shiftsOf.get('csv') ?? [];
  expect(shifts.length).toBeGreaterThan(20);
  expect(shifts.some(({ flareRpm }) => (flareRpm ?? 0) > 60)).toBe(true);
});

it.each(['jsonLines', 'mdf'])('as %s it gives exactly the shifts and measures of the CSV', (format) => {
  expect(shiftsOf.get(format)?.map(figures)).toEqual(shiftsOf.get('csv')?.map(figures));
});

/**
 * Stated tolerance of a capture, whose speeds come with every row: what follows from speeds alone is exact. The command
 * comes in a frame every 20 ms, and is late by that at most; so is what was the case at the command (a pressure moves by up to 4,000 kPa/s there), and the impulse of
 * a dip is short of 20 ms of it (no dip is deeper than 0.5 m/s² here). Fluid is drawn between frames half a second
 * apart.
 */
const TOLERANCES: Partial<Record<keyof ShiftRow, number>> = {
  commandS: 0.02,
  shiftTimeS: 0.02,
  delayS: 0.02,
  valveOnAfterSyncS: 0.02,
  load: 2,
  inputTorqueNm: 5,
  pedal: 2,
  inputSpeedRpm: 20,
  outputSpeedRpm: 5,
  fluidTemperatureC: 1,
  applyPressureKpa: 80,
  peakToPeakAcceleration: 0.1,
  peakJerk: 0.5,
  tieUpDepth: 0.03,
  tieUpImpulse: 0.01,
  slipEnergyJ: 20,
  demandRatio: 0.01,
};
const EXACT = ['inertiaStartS', 'syncS', 'inertiaTimeS', 'flareRpm', 'flareMs', 'flareRevolutions'] as const;

it('as candump it gives the shifts, grades and measures of the CSV within the stated tolerance', () => {
  const csv = shiftsOf.get('csv') ?? [];
  const bus = shiftsOf.get('candump') ?? [];
  const told = (shifts: readonly ShiftRow[]) => shifts.map(({ kind, outcome, grades }) => ({ kind, outcome, grades }));
  expect(told(bus)).toEqual(told(csv));
  for (const [i, shift] of bus.entries()) {
    for (const name of EXACT) expect({ [name]: shift[name] }).toEqual({ [name]: csv[i][name] });
    for (const [name, tolerance] of Object.entries(TOLERANCES) as [keyof ShiftRow, number][]) {
      const [read, expected] = [shift[name] as number | null, csv[i][name] as number | null];
      expect([name, read === null]).toEqual([name, expected === null]);
      const error = Math.abs((read ?? 0) - (expected ?? 0));
      expect(error, `${name} of shift ${i + 1}, ${shift.kind}`).toBeLessThanOrEqual(tolerance + 1e-9);
    }
  }
});
