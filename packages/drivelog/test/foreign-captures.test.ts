import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { type BusSignal, CaptureTrafficCounter, FrameLine, recogniseFormat } from '../src/index.js';
import { bytesOf, readLog } from './read-log.js';

/**
 * The same frames by two writers of other projects, python-can 4.1.0 and can-utils 2020.11 (Debian 12), and what was put
 * in; `captures/write_frames.py` says how they were made.
 */
const file = (name: string) => readFileSync(new URL(`./captures/${name}`, import.meta.url), 'utf8');
const WRITERS = ['python-can', 'can-utils'];

const expected = file('frames.expected.csv')
  .trim()
  .split('\n')
  .slice(1)
  .map((row) => {
    const [afterS, channel, identifier, extended, kind, fd, data] = row.split(',');
    return {
      afterS: Number(afterS),
      channel,
      identifier: Number(identifier),
      isExtended: extended === 'True',
      kind,
      isFd: fd === 'True',
      data,
    };
  });

function framesOf(text: string) {
  const frame = new FrameLine();
  let firstS = NaN;
  return text
    .trim()
    .split('\n')
    .map((line) => {
      const bytes = bytesOf(line);
      expect(frame.read(bytes, 0, bytes.length), line).toBe(true);
      if (Number.isNaN(firstS)) firstS = frame.seconds + frame.nanoseconds / 1e9;
      return {
        afterS: frame.seconds + frame.nanoseconds / 1e9 - firstS,
        channel: line.slice(frame.interfaceStart, frame.interfaceEnd),
        identifier: frame.identifier,
        isExtended: frame.isExtended,
        kind: frame.kind,
        isFd: frame.isFd,
        data: Buffer.from(frame.data.subarray(0, frame.length)).toString('hex'),
      };
    });
}

it.each(WRITERS)('every frame that %s wrote is read exactly', (writer) => {
  const text = file(`frames.${writer}.log`);
  expect(recogniseFormat(bytesOf(text)).format).toBe('candump');
  const frames = framesOf(text);
  expect(frames).toHaveLength(expected.length);
  for (const [i, frame] of frames.entries()) {
    const { afterS, ...rest } = expected[i];
    expect(frame.afterS).toBeCloseTo(afterS, 5);
    // A remote or error frame carries no data, whatever was put in.
    const data = rest.kind === 'data' ? rest.data : expect.any(String);
    expect(frame).toMatchObject({ ...rest, data });
  }
});

const turbine: BusSignal = {
  name: 'turbine',
  identifier: 0x1d0,
  startBit: 7,
  length: 16,
  byteOrder: 'big',
  signed: false,
  scale: 0.25,
  offset: 0,
  unit: 'rpm',
};
const busSignals: BusSignal[] = [
  turbine,
  { ...turbine, name: 'output', startBit: 16, byteOrder: 'little', scale: 1 },
  {
    ...turbine,
    name: 'gear',
    identifier: 0x18fef100,
    extended: true,
    startBit: 0,
    length: 8,
    byteOrder: 'little',
    scale: 1,
    unit: '',
  },
];

it.each(WRITERS)('signals of both byte orders and identifier lengths are read from what %s wrote', (writer) => {
  const log = readLog(file(`frames.${writer}.log`), {
    map: {
      time: { column: 'time', format: 'seconds' },
      signals: [
        { signal: 'inputSpeed', column: 'turbine', unit: 'rpm' },
        { signal: 'outputSpeed', column: 'output', unit: 'rpm' },
        { signal: 'gear', column: 'gear', unit: '' },
      ],
    },
    overrides: { candump: { busSignals } },
  });
  const index = Array.from({ length: 100 }, (_, i) => i);
  expect(log.timeS).toEqual(index.map((i) => expect.closeTo(i / 50, 5)));
  expect(log.signals.inputSpeed).toEqual(index.map((i) => (3200 + 7 * i) / 4));
  expect(log.signals.outputSpeed).toEqual(index.map((i) => 1100 + 3 * i));
  expect(log.signals.gear.slice(3, 6)).toEqual([NaN, 4, 4]);
  expect(log.findings).toMatchObject({ damagedRows: 0, bus: { remoteFrames: 1, errorFrames: 1, otherBusFrames: 5 } });
});

it.each(WRITERS)('the traffic of each bus is counted from what %s wrote', (writer) => {
  const counter = new CaptureTrafficCounter();
  counter.push(bytesOf(file(`frames.${writer}.log`)));
  const [first, second] = counter.end();
  expect(counter.damagedLines).toBe(0);
  expect([first.busInterface, second.busInterface]).toEqual(['can0', 'can1']);
  expect(first.identifiers.find(({ identifier }) => identifier === 0x1d0)).toMatchObject({
    frames: 100,
    usualLength: 8,
    periodS: expect.closeTo(0.02, 3),
  });
});
