import { expect, it } from 'vitest';
import { checkSignalMap, createLogReader, inspectLog, type MappedSignal, type SignalMap } from '../src/index.js';
import { bytesOf } from './read-log.js';

const inspection = inspectLog(bytesOf('time,n in,n out,speed,gear\n0,1,2,3,4\n0.1,1,2,3,4\n'));
const inputSpeed: MappedSignal = { signal: 'inputSpeed', column: 'n in', unit: 'rpm' };
const outputSpeed: MappedSignal = { signal: 'outputSpeed', column: 'n out', unit: 'rpm' };

function aMap(...signals: MappedSignal[]): SignalMap {
  return { time: { column: 'time', format: 'seconds' }, signals: [inputSpeed, outputSpeed, ...signals] };
}

it('a map that fits has no problems, and survives JSON', () => {
  const map = aMap({ signal: 'gear', column: 'gear', unit: '', codes: { '14': -1, D: null } });
  expect(checkSignalMap(map, inspection)).toEqual([]);
  expect(checkSignalMap(JSON.parse(JSON.stringify(map)), inspection)).toEqual([]);
});

it.each<[string, SignalMap]>([
  ['time_column_absent', { ...aMap(), time: { column: 't', format: 'seconds' } }],
  ['column_absent', aMap({ signal: 'load', column: 'torque', unit: '%' })],
  ['column_is_time', aMap({ signal: 'load', column: 'time', unit: '%' })],
  ['signal_twice', aMap({ signal: 'inputSpeed', column: 'speed', unit: 'rpm' })],
  ['column_twice', aMap({ signal: 'engineSpeed', column: 'n in', unit: 'rpm' })],
  ['unit_unknown', aMap({ signal: 'load', column: 'speed', unit: 'parsec' })],
  ['unit_unfit', aMap({ signal: 'load', column: 'speed', unit: 'km/h' })],
  ['scale_unfit', aMap({ signal: 'load', column: 'speed', unit: '%', factor: 0 })],
  ['scale_unfit', aMap({ signal: 'load', column: 'speed', unit: '%', offset: NaN })],
  ['scale_unfit', aMap({ signal: 'gear', column: 'gear', unit: '', factor: 2 })],
  ['scale_unfit', aMap({ signal: 'load', column: 'speed', unit: '%', codes: { a: 1 } })],
  ['car_unknown', { ...aMap(), signals: [inputSpeed, { signal: 'outputSpeed', column: 'speed', unit: 'km/h' }] }],
])('%s is an error, and the reader refuses the map', (code, map) => {
  expect(checkSignalMap(map, inspection)).toMatchObject([{ code, severity: 'error', message: expect.any(String) }]);
  const refusal = code === 'time_column_absent' ? 'no_time_column' : 'signal_map';
  expect(() => createLogReader({ map, inspection })).toThrow(expect.objectContaining({ code: refusal }));
});

it('a road speed is fine once the car is known', () => {
  const map = { ...aMap(), signals: [inputSpeed, { ...outputSpeed, column: 'speed', unit: 'mph' }] };
  expect(checkSignalMap(map, inspection, { tyreRadiusM: 0.31, finalDriveRatio: 3.2 })).toEqual([]);
  expect(checkSignalMap(map, inspection, { tyreRadiusM: 0, finalDriveRatio: 3.2 })).toMatchObject([
    { code: 'car_unknown' },
  ]);
});

it('indispensable signals that are not mapped are a warning each: the log can be read, shifts cannot be found', () => {
  const problems = checkSignalMap({ ...aMap(), signals: [] }, inspection);
  expect(problems).toMatchObject([
    { code: 'signal_missing', severity: 'warning', signal: 'inputSpeed' },
    { code: 'signal_missing', severity: 'warning', signal: 'outputSpeed' },
  ]);
  expect(() => createLogReader({ map: { ...aMap(), signals: [] }, inspection })).not.toThrow();
});
