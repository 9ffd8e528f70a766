import { expect, it } from 'vitest';
import {
  LogQualityCounter,
  type QualityFinding,
  type RatioReference,
  type SignalBatch,
  type SignalId,
} from '../src/index.js';
import { sharedText } from './shared-data.js';
import { GEAR_RATIOS, rounded, simulateDrive } from './simulated-drive.js';

type Columns = Partial<Record<SignalId, Float64Array>> & { readonly timeS: Float64Array };

const drive = simulateDrive(200);
const car = { tyreRadiusM: 0.33, finalDriveRatio: 3.2 };
const RPM_PER_KMH = ((60 / (2 * Math.PI * car.tyreRadiusM)) * car.finalDriveRatio) / 3.6;

function findingsOf(columns: Columns, reference: Partial<RatioReference> = {}, batchSize = 8192): QualityFinding[] {
  const counter = new LogQualityCounter({ gearRatios: GEAR_RATIOS, ...reference });
  const { timeS, ...signals } = columns;
  for (let start = 0; start < timeS.length; start += batchSize) {
    const cut = Object.entries(signals).map(([id, values]) => [id, values.slice(start, start + batchSize)]);
    const batch: SignalBatch = {
      startIndex: start,
      timeS: timeS.slice(start, start + batchSize),
      signals: Object.fromEntries(cut),
    };
    counter.push(batch);
  }
  return counter.result();
}

const changed = (
  signal: Exclude<keyof typeof drive, 'timeS'>,
  change: (value: number, timeS: number) => number,
): Columns => ({
  ...drive,
  [signal]: drive[signal].map((value, i) => change(value, drive.timeS[i])),
});

it('a good drive has no findings, also without a car, in small batches and with missing values', () => {
  expect(findingsOf(drive)).toEqual([]);
  expect(findingsOf(drive, { car }, 77)).toEqual([]);
  expect(findingsOf(changed('inputSpeed', (value, t) => (Math.floor(t * 50) % 10 === 0 ? NaN : value)))).toEqual([]);
});

/** Each row is one fault, what is found, and what the message must say. */
it.each<[string, Columns, string, SignalId, RegExp]>([
  [
    'an input speed that hangs for 5 s',
    changed('inputSpeed', (value, t) => (t > 20 && t < 25 ? 1234 : value)),
    'stuck',
    'inputSpeed',
    /1234 for 5\.0 s from 20/,
  ],
  [
    'an output speed that hangs for 4 s',
    changed('outputSpeed', (value, t) => (t > 30 && t < 34 ? 900 : value)),
    'stuck',
    'outputSpeed',
    /900 for 4\.0 s/,
  ],
  ['a load that never changes', changed('load', () => 40), 'stuck', 'load', /40\.0 all through 200 s/],
  [
    'an input speed cut off at 1700 rpm',
    changed('inputSpeed', (value) => Math.min(value, 1700)),
    'clipped',
    'inputSpeed',
    /cut off at 1700/,
  ],
  [
    'speeds swapped',
    { ...drive, inputSpeed: drive.outputSpeed, outputSpeed: drive.inputSpeed },
    'speeds_swapped',
    'inputSpeed',
    /swapped/,
  ],
  [
    'km/h in the rpm column',
    changed('outputSpeed', (value) => value / RPM_PER_KMH),
    'output_speed_unit',
    'outputSpeed',
    /probably in km\/h/,
  ],
  [
    'mph in the rpm column',
    changed('outputSpeed', (value) => value / RPM_PER_KMH / 1.609344),
    'output_speed_unit',
    'outputSpeed',
    /probably in mph/,
  ],
  [
    'wheel rpm in the rpm column',
    changed('outputSpeed', (value) => value / 3.2),
    'output_speed_unit',
    'outputSpeed',
    /wheel rpm/,
  ],
  [
    'a tyre 12 % too small',
    changed('outputSpeed', (value) => value * 1.12),
    'output_speed_scaled',
    'outputSpeed',
    /0\.89 times.*Tyre radius/,
  ],
  [
    'an output speed that is noise',
    changed('outputSpeed', (value, t) => value * (1 + 0.5 * Math.sin(37 * t))),
    'ratio_implausible',
    'outputSpeed',
    /another gearset/,
  ],
  [
    'kelvin as °C',
    changed('fluidTemperature', (value) => value + 273.15),
    'unit_doubtful',
    'fluidTemperature',
    /probably in K/,
  ],
  ['a pedal from 0 to 1', changed('pedal', (value) => value / 100), 'unit_doubtful', 'pedal', /ratio \(0 to 1\)/],
  [
    'engine revolutions per second',
    changed('engineSpeed', (value) => value / 60),
    'unit_doubtful',
    'engineSpeed',
    /Hz/,
  ],
])('%s', (_, columns, code, signal, message) => {
  const found = findingsOf(columns, { car });
  expect(found).toContainEqual(expect.objectContaining({ code, signal, message: expect.stringMatching(message) }));
  expect(found.filter((finding) => finding.code !== code && finding.code !== 'ratio_implausible')).toEqual([]);
  expect(found[0].effect).toMatch(/cannot be trusted/);
});

it.each<[string, Partial<Record<SignalId, Float64Array>>, string]>([
  ['bar', { applyPressure: drive.timeS.map((t) => 3 + Math.sin(t)) }, 'bar'],
  ['Pa', { linePressure: drive.timeS.map((t) => 9e5 + 1e5 * Math.sin(t)) }, 'Pa'],
  ['mV', { supplyVoltage: drive.timeS.map((t) => 13_800 + Math.sin(t)) }, 'mV'],
  ['°F', { fluidTemperature: drive.timeS.map((t) => 120 + t / 2) }, '°F'],
])('a column in %s is told by its range', (_, signals, unit) => {
  expect(findingsOf({ ...drive, ...signals })).toMatchObject([
    { code: 'unit_doubtful', message: expect.stringContaining(`probably in ${unit}`) },
  ]);
});

it('km/h is guessed without knowing the car, when the factor is that of usual axles', () => {
  const [finding] = findingsOf(changed('outputSpeed', (value) => value / RPM_PER_KMH));
  expect(finding).toMatchObject({ code: 'output_speed_unit', message: expect.stringContaining('km/h') });
});

it('one gear alone tells nothing about a factor, and a short drive nothing at all', () => {
  const constant = (factor: number): Columns => ({
    timeS: drive.timeS,
    outputSpeed: drive.outputSpeed,
    inputSpeed: drive.outputSpeed.map((value) => value * factor),
  });
  expect(findingsOf(constant(3))).toMatchObject([{ code: 'ratio_implausible' }]);
  expect(
    findingsOf({
      timeS: drive.timeS.slice(0, 200),
      inputSpeed: drive.outputSpeed.slice(0, 200),
      outputSpeed: drive.inputSpeed.slice(0, 200),
    }),
  ).toEqual([]);
});

it('standing still, cruising on a coarse speedometer and full pedal are no faults', () => {
  const standing = changed('outputSpeed', (value, t) => (t < 20 ? 0 : value));
  const coarse = changed('outputSpeed', (value) => rounded(value, 27));
  const floored = changed('pedal', (value) => (value > 30 ? 100 : value));
  for (const columns of [standing, coarse, floored]) expect(findingsOf(columns)).toEqual([]);
});

it('a log without samples or speeds has no findings', () => {
  expect(findingsOf({ timeS: new Float64Array(0) })).toEqual([]);
  expect(findingsOf({ timeS: drive.timeS, gear: drive.gear })).toEqual([]);
});

/** Ratios to wheel speed of data/README.md for gears 3 to 6; 1 and 2 are not driven. */
it('wheel speed of a recorded drive, taken for shaft speed, is recognised as km/h', () => {
  const rows = sharedText('data/rav4/rav4_decoded_turbine.csv.gz')
    .trim()
    .split('\n')
    .slice(1)
    .map((row) => row.split(',').map(Number));
  const column = (index: number) => Float64Array.from(rows, (row) => row[index]);
  const signals = { timeS: column(0), inputSpeed: column(2), engineSpeed: column(1), outputSpeed: column(4) };
  const gearRatios = [3.3, 1.9, 1.42, 1, 0.713, 0.608];
  expect(findingsOf(signals, { gearRatios })).toMatchObject([{ code: 'output_speed_unit', signal: 'outputSpeed' }]);
  const shaft = signals.outputSpeed.map((kmh) => kmh * 31.1);
  expect(findingsOf({ ...signals, outputSpeed: shaft }, { gearRatios })).toEqual([]);
});
