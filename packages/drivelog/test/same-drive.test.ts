import { expect, it } from 'vitest';
import { type BusSignal, type SignalId, type SignalMap } from '../src/index.js';
import { type WrittenChannel, type WrittenGroup, writeMdf } from './mdf-writer.js';
import { readLog } from './read-log.js';
import { readMdf } from './read-mdf.js';
import { simulateDrive } from './simulated-drive.js';

const drive = simulateDrive(20);
const count = drive.timeS.length;

interface Column {
  readonly signal: Exclude<keyof typeof drive, 'timeS'> & SignalId;
  readonly unit: string;
  /** Raw = value / scale, in 16 bits. */
  readonly scale: number;
  readonly identifier: number;
  readonly everyRow: number;
}

/** Speeds at 50 Hz, pedal and load at 25 Hz, gear at 10 Hz, fluid once a second. */
const columns: Column[] = [
  { signal: 'inputSpeed', unit: 'rpm', scale: 0.25, identifier: 0x1d0, everyRow: 1 },
  { signal: 'outputSpeed', unit: 'rpm', scale: 0.25, identifier: 0x1d0, everyRow: 1 },
  { signal: 'engineSpeed', unit: 'rpm', scale: 0.25, identifier: 0x1c4, everyRow: 1 },
  { signal: 'pedal', unit: '%', scale: 0.5, identifier: 0x2c1, everyRow: 2 },
  { signal: 'load', unit: '%', scale: 0.5, identifier: 0x2c1, everyRow: 2 },
  { signal: 'gear', unit: '', scale: 1, identifier: 0x3e0, everyRow: 5 },
  { signal: 'fluidTemperature', unit: '°C', scale: 0.5, identifier: 0x3f0, everyRow: 50 },
];

const map: SignalMap = {
  time: { column: 'time', format: 'seconds' },
  signals: columns.map(({ signal, unit }) => ({ signal, column: signal, unit })),
};

function asCsv(): string {
  const rows = Array.from(drive.timeS, (timeS, i) =>
    [timeS, ...columns.map(({ signal }) => drive[signal][i])].join(','),
  );
  return [`time,${columns.map(({ signal }) => signal).join(',')}`, ...rows, ''].join('\n');
}

function asJsonLines(): string {
  const line = (timeS: number, i: number) =>
    JSON.stringify(Object.fromEntries([['time', timeS], ...columns.map(({ signal }) => [signal, drive[signal][i]])]));
  return `${Array.from(drive.timeS, line).join('\n')}\n`;
}

function asMdf(grouped: readonly (readonly Column[])[]): Uint8Array {
  const time: WrittenChannel = {
    name: 'time',
    unit: 's',
    type: 2,
    syncType: 1,
    dataType: 4,
    byteOffset: 0,
    bitCount: 64,
  };
  const groups = grouped.map((group): WrittenGroup => {
    const dataBytes = 8 + 2 * group.length;
    const channels = group.map(({ signal, unit, scale }, i): WrittenChannel => {
      return {
        name: signal,
        unit,
        dataType: i % 2,
        byteOffset: 8 + 2 * i,
        bitCount: 16,
        conversion: { type: 1, values: [0, scale] },
      };
    });
    const records: Uint8Array[] = [];
    for (let row = 0; row < count; row += group[0].everyRow) {
      const bytes = new Uint8Array(dataBytes);
      const view = new DataView(bytes.buffer);
      view.setFloat64(0, drive.timeS[row], true);
      for (const [i, { signal, scale }] of group.entries())
        view.setUint16(8 + 2 * i, drive[signal][row] / scale, i % 2 === 0);
      records.push(bytes);
    }
    return { channels: [time, ...channels], dataBytes, records };
  });
  return writeMdf({ dataGroups: groups.map((group) => [group]), packing: 'HL', blockBytes: 1000 });
}

const busSignals = columns.map(({ signal, unit, scale, identifier }, i): BusSignal => {
  const second = i === 1 || i === 4;
  return {
    name: signal,
    identifier,
    startBit: second ? 16 : 0,
    length: 16,
    byteOrder: 'little',
    signed: false,
    scale,
    offset: 0,
    unit,
  };
});

function asCandump(): string {
  const lines: string[] = [];
  for (let row = 0; row < count; row++) {
    for (const identifier of new Set(columns.map((column) => column.identifier))) {
      const sent = columns.filter((column) => column.identifier === identifier);
      if (row % sent[0].everyRow !== 0) continue;
      const data = new DataView(new ArrayBuffer(8));
      for (const [i, { signal, scale }] of sent.entries()) data.setUint16(2 * i, drive[signal][row] / scale, true);
      const hex = Buffer.from(data.buffer).toString('hex').toUpperCase();
      lines.push(
        `(${(1_700_000_000 + drive.timeS[row]).toFixed(6)}) can0 ${identifier.toString(16).toUpperCase()}#${hex}`,
      );
    }
  }
  return `${lines.join('\n')}\n`;
}

const csv = readLog(asCsv(), { map });

it('JSON lines and MDF of one rate give exactly the batches of the CSV', () => {
  const json = readLog(asJsonLines(), { map });
  const oneRate = columns.map((column) => ({ ...column, everyRow: 1 }));
  const mdf = readMdf(asMdf([oneRate]), map);
  for (const log of [json, mdf]) {
    expect(log.timeS).toEqual(csv.timeS);
    expect(log.signals).toEqual(csv.signals);
    expect(log.batchLengths).toEqual(csv.batchLengths);
  }
});

/**
 * Stated tolerance: time to 1 µs; speeds of every row exactly; pedal and load, drawn between samples 40 ms apart, to
 * half a step of 0.5 % and the bow of their curve; gear late by at most its 0.1 s; fluid to half a step of 0.5 K.
 */
it.each([
  [
    'MDF of several rates',
    () => readMdf(asMdf([columns.slice(0, 3), columns.slice(3, 5), columns.slice(5, 6), columns.slice(6)]), map),
  ],
  ['candump', () => readLog(asCandump(), { map, overrides: { candump: { busSignals } } })],
])('%s gives the batches of the CSV within the stated tolerance', (_, read) => {
  const log = read();
  expect(log.timeS).toEqual(csv.timeS.map((t) => expect.closeTo(t, 6)));
  for (const signal of ['inputSpeed', 'outputSpeed', 'engineSpeed'])
    expect(log.signals[signal]).toEqual(csv.signals[signal]);
  for (const [signal, tolerance] of [
    ['pedal', 0.51],
    ['load', 0.51],
    ['fluidTemperature', 0.51],
  ] as const) {
    const errors = log.signals[signal].map((value, i) => Math.abs(value - csv.signals[signal][i]));
    expect(Math.max(...errors.filter((error) => !Number.isNaN(error))), signal).toBeLessThan(tolerance);
    expect(
      errors.findLastIndex((error) => !Number.isNaN(error)),
      signal,
    ).toBeGreaterThan(count - 51);
  }
  for (const [i, gear] of log.signals.gear.entries())
    expect(csv.signals.gear.slice(Math.max(0, i - 4), i + 1)).toContain(gear);
  expect(log.findings.join).toMatchObject({
    base: 'inputSpeed',
    signals: { fluidTemperature: { largestGapS: expect.closeTo(1, 3) } },
  });
});
