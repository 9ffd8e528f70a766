import { createHash } from 'node:crypto';
import { expect, it } from 'vitest';
import type { MappedSignal, SignalMap } from '../src/index.js';
import { inspectBytes, readMdf } from './read-mdf.js';
import { sharedFile, sharedText } from './shared-data.js';

const signal = (id: MappedSignal['signal'], column: string, unit: string): MappedSignal => ({
  signal: id,
  column,
  unit,
});
const mapOf = (time: string, ...signals: MappedSignal[]): SignalMap => ({
  time: { column: time, format: 'seconds' },
  signals,
});

/** Files of the check values, written by two writers of other projects and checked with their readers. */
it.each(['mdf4_dt', 'mdf4_dz', 'mdf4_dl_dt', 'mdf4_dl_tdz'])('%s is read exactly', (name) => {
  const bytes = sharedFile(`reference/mdf4/${name}.mf4`);
  const expected = JSON.parse(sharedText('reference/mdf4/mdf4_expected.json')).channels;
  const map = mapOf(
    'time',
    signal('inputSpeed', 'turbine_speed', 'rpm'),
    signal('outputSpeed', 'output_speed', 'rpm'),
    signal('fluidTemperature', 'fluid_temp', '°C'),
    signal('gear', 'gear', ''),
  );
  const log = readMdf(bytes, map, { batchSize: 16 });
  expect(log.timeS).toEqual(expected.time);
  expect(log.signals).toEqual({
    inputSpeed: expected.turbine_speed,
    outputSpeed: expected.output_speed,
    fluidTemperature: expected.fluid_temp,
    gear: expected.gear,
  });
  expect(log.batchLengths).toEqual([16, 16, 16, 2]);
  expect(log.findings).toMatchObject({ damagedRows: 0, startInstant: { utcMs: 1_700_000_000_000 } });
});

it.each(['mdf4_writer', 'mdf4_writer_transposed'])('%s is read exactly', (name) => {
  const expected = JSON.parse(sharedText('reference/mdf4/mdf4_expected.json')).channels;
  const bytes = sharedFile(`reference/mdf4/${name}.mf4`);
  const map = mapOf('time', signal('inputSpeed', 'turbine_speed', 'rpm'), signal('gear', 'gear', ''));
  const log = readMdf(bytes, map);
  expect(log.timeS).toEqual(expected.time);
  expect(log.signals).toEqual({ inputSpeed: expected.turbine_speed, gear: expected.gear });
});

interface SecondSource {
  readonly expect: Record<string, number[]>;
  readonly expect_group2: Record<string, number[]>;
  readonly files: Record<string, { readonly sha256: string; readonly base64: string }>;
}

const second: SecondSource = JSON.parse(sharedText('reference/second-source/mdf4-samples.json'));

function sample(name: string): Uint8Array {
  const { base64, sha256 } = second.files[name];
  const bytes = new Uint8Array(Buffer.from(base64, 'base64'));
  expect(createHash('sha256').update(bytes).digest('hex')).toBe(sha256);
  return bytes;
}

it.each(Object.keys(second.files))('%s of the second source is read exactly', (name) => {
  const map = mapOf(
    't',
    signal('inputSpeed', 'n_in', 'rpm'),
    signal('fluidTemperature', 'T_oil', '°C'),
    signal('gear', 'gear', ''),
    signal('valveOn', 'lock', ''),
    signal('applyPressure', 'p_A', 'kPa'),
  );
  const log = readMdf(sample(name), map);
  const { t, n_in, T_oil, gear, lock, p_A } = second.expect;
  expect(log.timeS).toEqual(t);
  expect(log.signals).toEqual({
    inputSpeed: n_in,
    fluidTemperature: T_oil.map((value) => expect.closeTo(value, 9)),
    gear,
    valveOn: lock,
    applyPressure: p_A,
  });
});

it('the second group of an unsorted file is read exactly, alone and joined', () => {
  const bytes = sample('unsorted_two_groups');
  const { t, U_bat } = second.expect_group2;
  const alone = readMdf(bytes, mapOf('t', signal('supplyVoltage', 'U_bat', 'V')));
  expect(alone.timeS).toEqual(t.map((value) => expect.closeTo(value - t[0], 12)));
  expect(alone.signals).toEqual({ supplyVoltage: U_bat });
  const joined = readMdf(bytes, mapOf('t', signal('inputSpeed', 'n_in', 'rpm'), signal('supplyVoltage', 'U_bat', 'V')));
  const step = (U_bat[1] - U_bat[0]) / (t[1] - t[0]);
  expect(joined.signals.inputSpeed).toEqual(second.expect.n_in);
  expect(joined.signals.supplyVoltage.slice(0, 2)).toEqual([NaN, expect.closeTo(U_bat[0] + (0.01 - t[0]) * step, 9)]);
  expect(joined.findings.join).toMatchObject({ base: 'inputSpeed', signals: { supplyVoltage: { sampleCount: 4 } } });
});

it('an inspection names groups, channels, units and first values', () => {
  const inspection = inspectBytes(sample('unsorted_two_groups'));
  expect(inspection.columns.map(({ name }) => name)).toEqual(['t', 'n_in', 'T_oil', 'gear', 'lock', 'p_A', 'U_bat']);
  expect(inspection.groups.map(({ recordCount }) => recordCount)).toEqual([12, 4]);
  expect(inspection.timeCandidates).toMatchObject([{ column: 't', format: 'seconds' }]);
  expect(inspection.firstRows[0].slice(0, 2)).toEqual(['0', '800']);
  expect(inspection.findings).toMatchObject([{ code: 'several_rates' }]);
});
