import { existsSync, readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import { expect, it } from 'vitest';
import {
  inspectLog,
  LogFormatError,
  recogniseFormat,
  suggestSignalMap,
  timeStatistics,
  timingSuitability,
} from '../src/index.js';
import { readLog } from './read-log.js';

/** Openly licensed recordings beside the checkout; what they hold is told in their README. */
const folder = new URL('../../../../shared/data/', import.meta.url);

function recorded(path: string): Uint8Array {
  const file = new URL(path, folder);
  if (!existsSync(file))
    throw new Error(`recorded data not found: ${file.pathname} (the folder ../shared beside the checkout is needed)`);
  const bytes = readFileSync(file);
  return new Uint8Array(path.endsWith('.gz') ? gunzipSync(bytes) : bytes);
}

/** Second samples of the published cycles: UDDS 1369 s, HWFET 765 s, US06 600 s (40 CFR 86), WLTC class 3 1800 s (UN GTR 15). */
it.each([
  ['cycles/udds.csv', 1369],
  ['cycles/hwfet.csv', 765],
  ['cycles/us06.csv', 600],
  ['cycles/wltc_3a.csv', 1800],
  ['cycles/wltc_3b.csv', 1800],
])('%s is a cycle of %i s, byte order mark and missing last line end or not', (path, lastSecond) => {
  const map = {
    time: { column: 'cycSecs', format: 'seconds' },
    signals: [{ signal: 'outputSpeed', column: 'cycMps', unit: 'm/s' }],
  } as const;
  const log = readLog(recorded(path), { map, car: { tyreRadiusM: 0.5 / Math.PI, finalDriveRatio: 1 } });
  expect(log.timeS).toEqual(Array.from({ length: lastSecond + 1 }, (_, i) => i));
  expect(log.signals.outputSpeed).toHaveLength(lastSecond + 1);
  expect(log.findings).toMatchObject({ damagedRows: 0, endsWithoutLineEnd: path.includes('wltc') });
});

it('rav4 is understood by its header and read whole', () => {
  const bytes = recorded('rav4/rav4_decoded_turbine.csv.gz');
  const { map } = suggestSignalMap(inspectLog(bytes));
  expect(map).toMatchObject({
    time: { column: 'time_s', format: 'seconds' },
    signals: [
      { signal: 'engineSpeed', column: 'engine_rpm', unit: 'rpm' },
      { signal: 'inputSpeed', column: 'turbine_rpm', unit: 'rpm' },
      { signal: 'outputSpeed', column: 'wheel_mean_kmh', unit: 'km/h' },
      { signal: 'gearTarget', column: 'gear_commanded' },
      { signal: 'inputTorque', column: 'engine_torque_nm' },
      { signal: 'pedal', column: 'pedal_pct', unit: '%' },
      { signal: 'fluidTemperature', column: 'atf_c', unit: '°C' },
    ],
  });
  const log = readLog(bytes, { car: { tyreRadiusM: 0.35, finalDriveRatio: 1 } });
  const lines = new TextDecoder().decode(bytes).trimEnd().split('\n').slice(1);
  expect(log.timeS).toHaveLength(lines.length);
  expect(log.signals.inputSpeed).toEqual(lines.map((line) => Number(line.split(',')[2])));
  const missing = lines.filter((line) => line.endsWith(',')).length;
  expect(missing).toBeGreaterThan(0);
  expect(log.findings).toMatchObject({ damagedRows: 0, missingValues: { fluidTemperature: missing, inputSpeed: 0 } });
  expect(timingSuitability(timeStatistics(Float64Array.from(log.timeS)))).toMatchObject({ kind: 'good' });
});

it('rav4 gears stand in the published ratios to each other', () => {
  const log = readLog(recorded('rav4/rav4_decoded_turbine.csv.gz'), { car: { tyreRadiusM: 0.35, finalDriveRatio: 1 } });
  const { gearTarget = [], inputSpeed = [], outputSpeed = [] } = log.signals;
  const ratioOf = (gear: number) => {
    const ratios = gearTarget.flatMap((value, i) => (value === gear ? [inputSpeed[i] / outputSpeed[i]] : []));
    return ratios.sort((a, b) => a - b)[ratios.length >> 1];
  };
  // Plateaus 1.42 : 1 : 0.713 : 0.608 of gears 3 to 6, by the README of the recordings.
  for (const [gear, ratio] of [
    [3, 1.42],
    [5, 0.713],
    [6, 0.608],
  ] as const) {
    expect(ratioOf(gear) / ratioOf(4)).toBeCloseTo(ratio, 1);
  }
});

it('gm_global_a is read, and refused for timing with the reason', () => {
  const log = readLog(recorded('gm_global_a/CANLOG_000_nogps.csv.gz'), {
    car: { tyreRadiusM: 0.35, finalDriveRatio: 3 },
  });
  expect(log.findings).toMatchObject({ sampleCount: 421, damagedRows: 0, startInstant: null });
  expect(log.findings.missingValues.fluidTemperature).toBeGreaterThan(0);
  const temperatures = (log.signals.fluidTemperature ?? []).filter((value) => !Number.isNaN(value));
  expect([Math.min(...temperatures), Math.max(...temperatures)]).toEqual([24, 51]);
  expect(timingSuitability(timeStatistics(Float64Array.from(log.timeS)))).toMatchObject({
    kind: 'unsuitable',
    rateHz: 0.5,
    reason: 'median interval 2.0 s (0.50 Hz); a shift takes 0.2 to 1 s, timing it needs at least 10 Hz',
  });
});

it('i30 is unknown content and says so', () => {
  const bytes = recorded('i30/logfile_2016-08-05.txt.gz');
  expect(() => inspectLog(bytes)).toThrow(LogFormatError);
  expect(() => inspectLog(bytes)).toThrow(/text without a delimiter, beginning “08 00 00 03 50/);
});

it('the rav4 capture is recognised as candump', () => {
  expect(recogniseFormat(recorded('rav4/rav4_raw_can.candump.log.gz'))).toMatchObject({ format: 'candump' });
});
