import fc from 'fast-check';
import { expect, it } from 'vitest';
import { inspectLog, LogFormatError, type SignalMap, suggestSignalMap } from '../src/index.js';
import { bytesOf, readLog } from './read-log.js';

const lineOf = (i: number) =>
  JSON.stringify({ time: i / 100, turbine_rpm: 1000 + i, 'output speed [rpm]': 500 + i, gear: i % 2 ? 'R' : 3 });
const text = (count: number) => Array.from({ length: count }, (_, i) => `${lineOf(i)}\n`).join('');

it('keys are columns with their units, and the suggested map reads them', () => {
  const inspection = inspectLog(bytesOf(text(30)));
  expect(inspection.columns).toMatchObject([
    { name: 'time' },
    { name: 'turbine_rpm', label: 'turbine', unit: 'rpm' },
    { unit: 'rpm' },
    { name: 'gear' },
  ]);
  expect(inspection.timeCandidates[0]).toMatchObject({ column: 'time', format: 'seconds' });
  expect(suggestSignalMap(inspection).missingSignals).toEqual([]);
  const log = readLog(text(30));
  expect(log.timeS).toEqual(Array.from({ length: 30 }, (_, i) => i / 100));
  expect(log.signals.inputSpeed).toEqual(Array.from({ length: 30 }, (_, i) => 1000 + i));
  expect(log.signals.gear.slice(0, 3)).toEqual([3, -1, 3]);
  expect(log.findings).toMatchObject({ damagedRows: 0, sampleCount: 30 });
});

it.each([
  ['milliseconds', '1700000000000', { timeS: [0, 0.02], utcMs: null }],
  ['iso8601', '"2026-03-01T12:00:00.000Z"', { timeS: [0, 0.02], utcMs: Date.UTC(2026, 2, 1, 12) }],
  ['clock', '"23:59:59.990"', { timeS: [0, 0.02], utcMs: null }],
])('times as %s', (format, first, { timeS, utcMs }) => {
  const second = { milliseconds: '1700000000020', iso8601: '"2026-03-01T12:00:00.020Z"', clock: '"00:00:00.010"' }[
    format
  ];
  const lines = `{"when":${first},"n_turbine":1}\n{"when":${second},"n_turbine":2}\n`;
  const map = {
    time: { column: 'when', format },
    signals: [{ signal: 'inputSpeed', column: 'n_turbine', unit: 'rpm' }],
  } as SignalMap;
  const log = readLog(lines, { map });
  expect(log.timeS).toEqual(timeS.map((t) => expect.closeTo(t, 9)));
  expect(log.findings.startInstant?.utcMs ?? null).toBe(utcMs);
});

it('null is no value, and a key that is not there was not sampled then', () => {
  const lines = [
    '{"time":0,"turbine_rpm":100,"oil_temp":20}',
    '{"time":0.1,"turbine_rpm":null}',
    '{"time":0.2,"turbine_rpm":120,"oil_temp":22}',
  ];
  const map: SignalMap = {
    time: { column: 'time', format: 'seconds' },
    signals: [
      { signal: 'inputSpeed', column: 'turbine_rpm', unit: 'rpm' },
      { signal: 'fluidTemperature', column: 'oil_temp', unit: '°C' },
    ],
  };
  expect(readLog(lines.join('\r\n'), { map }).signals).toEqual({
    inputSpeed: [100, NaN, 120],
    fluidTemperature: [20, 21, 22],
  });
});

it('damaged lines are left out, counted and located; nested values are no columns', () => {
  const lines = text(40).split('\n');
  lines[3] = '{"time":0.03,"turbine_rpm":';
  lines[5] = '[1,2]';
  lines[7] = lines[7].replace('1007', '"fast"');
  lines[9] = lines[9].replace('1009', '{"rpm":1009}');
  lines[11] = lines[11].replace('"time":0.11', '"time":"noon"');
  lines[13] = lines[13].replace('"time":0.13,', '');
  lines[15] = lines[15].replace('1015', '1e999');
  const inspection = inspectLog(bytesOf(text(20)));
  const { findings } = readLog(`\ufeff${lines.join('\n')}`, { inspection });
  expect(findings.damagedByReason).toEqual({ value_unreadable: 5, time_unreadable: 1, time_missing: 1 });
  expect(findings.firstDamage.map(({ line }) => line)).toEqual([4, 6, 8, 10, 12, 14, 16]);
  expect(findings.firstDamage.map(({ column }) => column).slice(0, 4)).toEqual([
    null,
    null,
    'turbine_rpm',
    'turbine_rpm',
  ]);
  expect(findings.sampleCount).toBe(33);
  const nested = inspectLog(bytesOf('{"time":1,"turbine":2,"place":{"x":1}}\n'));
  expect(nested.columns.map(({ name }) => name)).toEqual(['time', 'turbine']);
  expect(nested.findings).toMatchObject([{ code: 'nested_values', message: expect.stringContaining('“place”') }]);
});

it.each([
  ['of nothing but nested values', '{"a":{"b":1}}\n', 'json_lines'],
  ['cut within its first line', '{"time":1,"turb', 'json_lines'],
  ['with too many keys', `{${Array.from({ length: 5000 }, (_, i) => `"k${i}":1`).join(',')}}\n`, 'too_many_columns'],
  ['that turns out mostly damaged', `${text(3)}${'{"time":\n'.repeat(20)}`, 'mostly_damaged'],
])('a file %s is refused', (_, content, code) => {
  expect(() => readLog(content)).toThrow(expect.objectContaining({ code }));
});

it('cutting at any set of bytes and any batch size change nothing but the batches', () => {
  const bytes = bytesOf(`${text(20)}{"torn\n\n${text(5)}`);
  const inspection = inspectLog(bytes);
  const whole = readLog(bytes, { inspection });
  const property = fc.property(
    fc.array(fc.nat(bytes.length), { maxLength: 20 }),
    fc.integer({ min: 1, max: 9 }),
    (cuts, batchSize) => {
      expect({ ...readLog(bytes, { inspection, cuts, batchSize }), batchLengths: [] }).toEqual({
        ...whole,
        batchLengths: [],
      });
    },
  );
  fc.assert(property, { numRuns: 40, seed: 5 });
});

it('any JSON is read or refused with a reason, names of object methods too', () => {
  const key = fc.constantFrom('time', 'turbine_rpm', '__proto__', 'constructor', 'toString', '');
  const line = fc.oneof(
    fc.dictionary(key, fc.jsonValue({ maxDepth: 2 })).map((object) => JSON.stringify(object)),
    fc.string(),
  );
  const property = fc.property(fc.array(line, { maxLength: 8 }), (lines) => {
    try {
      expect(readLog(`${text(5)}${lines.join('\n')}`).timeS.every(Number.isFinite)).toBe(true);
    } catch (error) {
      if (!(error instanceof LogFormatError)) throw error;
    }
  });
  fc.assert(property, { numRuns: 200, seed: 6 });
});
