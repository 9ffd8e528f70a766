import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  type BusSignal,
  CaptureTrafficCounter,
  checkBusSignals,
  inspectLog,
  MAX_DAMAGE_DETAILS,
  MAX_LINE_BYTES,
  type SignalMap,
} from '../src/index.js';
import { bytesOf, readLog } from './read-log.js';
import { sharedFile, sharedText } from './shared-data.js';

const turbine: BusSignal = {
  name: 'turbine speed',
  identifier: 0x1d0,
  startBit: 7,
  length: 16,
  byteOrder: 'big',
  signed: false,
  scale: 0.25,
  offset: 0,
  unit: 'rpm',
};
const output: BusSignal = { ...turbine, name: 'output speed', identifier: 0x2c0, scale: 1 };
const gear: BusSignal = {
  ...turbine,
  name: 'gear',
  identifier: 0x3e0,
  startBit: 4,
  length: 4,
  byteOrder: 'little',
  scale: 1,
  unit: '',
};
const busSignals = [turbine, output, gear];
const map: SignalMap = {
  time: { column: 'time', format: 'seconds' },
  signals: [
    { signal: 'inputSpeed', column: 'turbine speed', unit: 'rpm' },
    { signal: 'outputSpeed', column: 'output speed', unit: 'rpm' },
    { signal: 'gear', column: 'gear', unit: '', codes: { 14: -1, 15: null } },
  ],
};

const options = { map, overrides: { candump: { busSignals } } };
const hex = (value: number) => value.toString(16).toUpperCase().padStart(4, '0');
const line = (timeS: number, identifier: number, data: string, bus = 'can0') =>
  `(${(1_700_000_000 + timeS).toFixed(6)}) ${bus} ${identifier.toString(16).toUpperCase().padStart(3, '0')}#${data}\n`;

/** Turbine at 100 Hz, output 4 ms later, gear ten times a second. */
function capture(seconds: number): string {
  let text = '';
  for (let i = 0; i < seconds * 100; i++) {
    text += line(i / 100, 0x1d0, hex(4000 + i));
    text += line(i / 100 + 0.004, 0x2c0, hex(1000 + i));
    if (i % 10 === 5) text += line(i / 100 + 0.001, 0x3e0, (i % 20 === 5 ? '30' : 'E0') + '00');
  }
  return text;
}

it('signals of several frames come to the moments of the faster speed: lines between, states held', () => {
  const log = readLog(capture(3), options);
  expect(log.timeS).toEqual(Array.from({ length: 300 }, (_, i) => expect.closeTo(i / 100, 9)));
  expect(log.signals.inputSpeed).toEqual(Array.from({ length: 300 }, (_, i) => (4000 + i) / 4));
  expect(log.signals.outputSpeed.slice(1, -1)).toEqual(
    Array.from({ length: 298 }, (_, i) => expect.closeTo(1000 + i + 0.6, 6)),
  );
  expect(log.signals.outputSpeed.at(0)).toBeNaN();
  expect(log.signals.gear.slice(0, 30)).toEqual([
    ...Array(6).fill(NaN),
    ...Array(10).fill(3),
    ...Array(10).fill(-1),
    ...Array(4).fill(3),
  ]);
  expect(log.findings).toMatchObject({
    damagedRows: 0,
    startInstant: { utcMs: 1_700_000_000_000, hasZone: true },
    bus: { frames: 630, readFrames: 630 },
    join: { base: 'inputSpeed', signals: { gear: { rule: 'hold', sampleCount: 30 }, outputSpeed: { rule: 'linear' } } },
  });
  expect(log.findings.join?.signals.gear?.largestGapS).toBeCloseTo(0.1, 6);
});

it('cutting at any set of bytes and any batch size change nothing but the batches', () => {
  const text = `${capture(0.4)}torn line\n\n${capture(0.3)}(170`;
  const bytes = bytesOf(text);
  const inspection = inspectLog(bytes, options.overrides);
  const whole = readLog(bytes, { ...options, inspection });
  const cuts = fc.array(fc.nat(bytes.length), { maxLength: 30 });
  const property = fc.property(cuts, fc.integer({ min: 1, max: 30 }), (at, batchSize) => {
    const cut = readLog(bytes, { ...options, inspection, cuts: at, batchSize });
    expect({ ...cut, batchLengths: [] }).toEqual({ ...whole, batchLengths: [] });
  });
  fc.assert(property, { numRuns: 40, seed: 3 });
  expect(whole.findings).toMatchObject({ damagedRows: 2, blankLines: 1, endsWithoutLineEnd: true });
});

it('torn lines are left out, counted and located', () => {
  const text = capture(1).split('\n');
  text[3] = text[3].slice(0, 20);
  text[7] = text[7].replace('#', '!');
  const { findings } = readLog(text.join('\n'), options);
  expect(findings.damagedByReason).toEqual({ too_few_fields: 1, value_unreadable: 1 });
  expect(findings.firstDamage.map(({ line: at }) => at)).toEqual([4, 8]);
  expect(findings.firstDamage[0].byteOffset).toBe(text.slice(0, 3).join('\n').length + 1);
});

it('remote, error, foreign and short frames are passed over and counted', () => {
  const odd = [
    '(1700000000.500000) can0 1D0#R2',
    '(1700000000.500000) can0 20000080#0000000000000000',
    '(1700000000.500000) can1 1D0#FFFF',
    '(1700000000.500000) can0 1D0#FF',
    '(1700000000.500000) can0 123##500112233',
  ];
  const log = readLog(`${capture(0.5)}${odd.join('\n')}\n${capture(1).slice(-4000)}`, options);
  expect(log.findings.bus).toMatchObject({ remoteFrames: 1, errorFrames: 1, otherBusFrames: 1, shortFrames: 1 });
  expect(Math.max(...log.signals.inputSpeed)).toBeLessThan(2000);
});

it('a multiplexed signal is only read where its selector says so, and a raw code may mean no value', () => {
  const first: BusSignal = {
    ...turbine,
    startBit: 15,
    noValueRaw: [0xffff],
    multiplexer: { startBit: 0, length: 8, byteOrder: 'little', value: 1 },
  };
  const second: BusSignal = {
    ...first,
    name: 'output speed',
    multiplexer: { startBit: 0, length: 8, byteOrder: 'little', value: 2 },
  };
  const frames = [0, 1, 2, 3].flatMap((i) => [
    line(i / 10, 0x1d0, `01${i === 2 ? 'FFFF' : hex(400 + i)}`),
    line(i / 10, 0x1d0, `02${hex(800 + i)}`),
  ]);
  const log = readLog(frames.join(''), {
    map: { ...map, signals: map.signals.slice(0, 2) },
    overrides: { candump: { busSignals: [first, second] } },
  });
  expect(log.signals).toEqual({ inputSpeed: [100, 100.25, NaN, 100.75], outputSpeed: [200, 200.25, 200.5, 200.75] });
});

it('the bus with the frames of the list is read, whichever comes first', () => {
  const noise = Array.from({ length: 300 }, (_, i) => line(i / 300, 0x700, '00', 'radar')).join('');
  const inspection = inspectLog(bytesOf(noise + capture(1)), options.overrides);
  expect(inspection).toMatchObject({ busInterface: 'can0', findings: [{ code: 'several_buses' }] });
  expect(readLog(noise + capture(1), options).timeS).toHaveLength(100);
});

it('a capture without a signal list is inspected, and says what is missing', () => {
  const inspection = inspectLog(bytesOf(capture(1)));
  expect(inspection.columns.map(({ name }) => name)).toEqual(['time']);
  expect(inspection.findings).toMatchObject([{ code: 'no_signal_list' }]);
});

it.each([
  ['captured without times', '  can0  1D0   [2]  0F A0\n'.repeat(50), 'frames_without_time'],
  [
    'with times between frames',
    Array.from({ length: 2000 }, (_, i) => ` (000.00${(i * 5) % 7}000)  can0  1D0   [2]  0F A0\n`).join(''),
    'frames_without_time',
  ],
  ['of another car', Array.from({ length: 50 }, (_, i) => line(i, 0x111, '0FA0')).join(''), 'nothing_readable'],
  ['mostly damaged', `${capture(0.1)}${'torn\n'.repeat(100)}`, 'mostly_damaged'],
])('a capture %s is refused', (_, text, code) => {
  expect(() => readLog(text, options)).toThrow(expect.objectContaining({ code }));
});

it('a line of more than 1 MiB ends the reading with its place', () => {
  const text = `${capture(1)}${'F'.repeat(MAX_LINE_BYTES + 1)}`;
  const position = { line: 211, byteOffset: capture(1).length };
  expect(() => readLog(text, options)).toThrow(expect.objectContaining({ code: 'line_too_long', position }));
});

it('only the first damaged lines are described', () => {
  const { findings } = readLog(`${capture(3)}${'torn\n'.repeat(50)}`, options);
  expect(findings).toMatchObject({ damagedRows: 50 });
  expect(findings.firstDamage).toHaveLength(MAX_DAMAGE_DETAILS);
});

it.each<[string, unknown, string]>([
  ['no list', {}, ''],
  ['no object', [7], ''],
  ['a name twice', [turbine, turbine], 'name'],
  ['the name of the time', [{ ...turbine, name: 'time' }], 'name'],
  ['an identifier of 12 bits', [{ ...turbine, identifier: 0x800 }], 'identifier'],
  ['54 bits', [{ ...turbine, length: 54 }], 'length'],
  ['bits beyond the frame', [{ ...turbine, byteOrder: 'little', startBit: 500 }], 'length'],
  ['an unknown byte order', [{ ...turbine, byteOrder: 'Intel' }], 'byteOrder'],
  ['scale 0', [{ ...turbine, scale: 0 }], 'scale'],
  ['an endless offset', [{ ...turbine, offset: Infinity }], 'offset'],
  ['no sign', [{ ...turbine, signed: undefined }], 'signed'],
  ['no unit', [{ ...turbine, unit: null }], 'unit'],
  [
    'a selector value beyond its bits',
    [{ ...turbine, multiplexer: { startBit: 0, length: 2, byteOrder: 'little', value: 4 } }],
    'multiplexer.value',
  ],
])('a signal list with %s is refused', (_, list, field) => {
  expect(checkBusSignals(list)).toMatchObject([{ field }]);
});

it('a good signal list has no problems, and survives JSON', () => {
  expect(checkBusSignals(JSON.parse(JSON.stringify(busSignals)))).toEqual([]);
  expect(checkBusSignals([{ ...turbine, extended: true, identifier: 0x1fffffff }])).toEqual([]);
});

it('any text made of the letters of candump is read or refused with a reason', () => {
  const letter = fc.constantFrom(
    ...'0123456789ABCDEF#.R[]() \n\r'.split(''),
    line(1, 0x1d0, '0FA0'),
    '(1.',
    '##',
    '\n(5.0) can0 ',
  );
  const property = fc.property(fc.array(letter, { maxLength: 150 }), (letters) => {
    try {
      const log = readLog(capture(0.05) + letters.join(''), options);
      expect(log.timeS.every(Number.isFinite)).toBe(true);
      const traffic = new CaptureTrafficCounter();
      traffic.push(bytesOf(letters.join('')));
      for (const { durationS, identifiers } of traffic.end()) {
        expect(durationS).toBeGreaterThanOrEqual(0);
        expect(identifiers.every(({ periodS }) => periodS === null || periodS > 0)).toBe(true);
      }
    } catch (error) {
      expect(error).toMatchObject({ name: 'LogFormatError' });
    }
  });
  fc.assert(property, { numRuns: 300, seed: 2 });
});

/** Factors found by comparing the frames with the decoded table beside them; speed and gear of data/README.md. */
it('a recorded capture decodes to the table that was made from it', () => {
  const list: BusSignal[] = [
    { ...turbine, scale: 25 / 64 },
    { ...turbine, name: 'vehicle speed', identifier: 0x0b4, startBit: 47, scale: 0.01, unit: 'km/h' },
    { ...turbine, name: 'gear', startBit: 39, length: 8, scale: 1, offset: 1, unit: '' },
  ];
  const log = readLog(sharedFile('data/rav4/rav4_raw_can.candump.log.gz'), {
    map: {
      ...map,
      signals: [
        map.signals[0],
        { signal: 'outputSpeed', column: 'vehicle speed', unit: 'km/h' },
        { signal: 'gear', column: 'gear', unit: '' },
      ],
    },
    car: { tyreRadiusM: 0.33, finalDriveRatio: 3 },
    overrides: { candump: { busSignals: list } },
  });
  expect(log.findings).toMatchObject({ damagedRows: 0, startInstant: null, join: { base: 'outputSpeed' } });
  const decoded = sharedText('data/rav4/rav4_decoded_turbine.csv.gz')
    .trim()
    .split('\n')
    .slice(1)
    .map((row) => row.split(',').map(Number));
  const firstBaseS = 0.000026;
  const errorsRpm: number[] = [];
  for (const [timeS, , turbineRpm, , , gearNumber] of decoded) {
    const after = log.timeS.findIndex((t) => t + firstBaseS >= timeS);
    if (after < 1) continue;
    const [a, b] = [log.timeS[after - 1] + firstBaseS, log.timeS[after] + firstBaseS];
    const share = (timeS - a) / (b - a);
    const joined = log.signals.inputSpeed[after - 1] * (1 - share) + log.signals.inputSpeed[after] * share;
    if (Number.isNaN(joined)) continue;
    errorsRpm.push(Math.abs(joined - turbineRpm));
    expect([log.signals.gear[after - 1], log.signals.gear[after]]).toContain(gearNumber);
  }
  errorsRpm.sort((a, b) => a - b);
  expect(errorsRpm.length).toBeGreaterThan(1800);
  expect(errorsRpm[errorsRpm.length >> 1]).toBeLessThan(2);
  expect(errorsRpm.at(-1)).toBeLessThan(60);
});
