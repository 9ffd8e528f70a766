import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  createMdfReader,
  inspectMdf,
  LogFormatError,
  type MappedSignal,
  memoryAccess,
  type RandomAccess,
  type SignalMap,
  suggestSignalMap,
} from '../src/index.js';
import {
  type Packing,
  type WrittenChannel,
  type WrittenConversion,
  type WrittenGroup,
  writeMdf,
} from './mdf-writer.js';
import { inflate, inspectBytes, readMdf } from './read-mdf.js';

const time: WrittenChannel = {
  name: 'time',
  unit: 's',
  type: 2,
  syncType: 1,
  dataType: 4,
  byteOffset: 0,
  bitCount: 64,
};
const speed: WrittenChannel = { name: 'turbine speed', unit: 'rpm', dataType: 0, byteOffset: 8, bitCount: 16 };
const inputSpeed: MappedSignal = { signal: 'inputSpeed', column: 'turbine speed', unit: 'rpm' };
const gear: MappedSignal = { signal: 'gear', column: 'gear', unit: '' };
const mapOf = (...signals: MappedSignal[]): SignalMap => ({ time: { column: 'time', format: 'seconds' }, signals });

function record(length: number, timeS: number, fill: (view: DataView) => void): Uint8Array {
  const bytes = new Uint8Array(length);
  const view = new DataView(bytes.buffer);
  view.setFloat64(0, timeS, true);
  fill(view);
  return bytes;
}

/** Time and a 16-bit turbine speed. */
function speedGroup(count: number, stepS = 0.01, name = 'turbine speed'): WrittenGroup {
  const records = Array.from({ length: count }, (_, i) =>
    record(10, i * stepS, (view) => view.setUint16(8, 1000 + i, true)),
  );
  return { channels: [time, { ...speed, name }], dataBytes: 10, records };
}

function withConversion(conversion: WrittenConversion, raws: readonly number[], name = 'turbine speed'): Uint8Array {
  const records = raws.map((raw, i) => record(10, i / 100, (view) => view.setUint16(8, raw, true)));
  return writeMdf({ dataGroups: [[{ channels: [time, { ...speed, name, conversion }], dataBytes: 10, records }]] });
}

/** Bit by bit from the definition: in big-endian order the bytes are turned round first, then counted from the low end. */
function rawBits(bytes: Uint8Array, { byteOffset, bitOffset = 0, bitCount, dataType }: WrittenChannel): number {
  const part = bytes.slice(byteOffset, byteOffset + Math.ceil((bitOffset + bitCount) / 8));
  if (dataType % 2 === 1) part.reverse();
  const whole = part.reduceRight((sum, byte) => (sum << 8n) | BigInt(byte), 0n);
  const value = BigInt.asUintN(bitCount, whole >> BigInt(bitOffset));
  return Number(dataType >= 2 ? BigInt.asIntN(bitCount, value) : value);
}

it('channels of any bits, in any order and packing, are read as the standard lays them out', () => {
  const channel = fc.record({
    byteOffset: fc.integer({ min: 8, max: 12 }),
    bitOffset: fc.nat(7),
    bitCount: fc.integer({ min: 1, max: 56 }),
    dataType: fc.constantFrom(0, 1, 2, 3),
  });
  const rows = fc.array(fc.uint8Array({ minLength: 12, maxLength: 12 }), { minLength: 1, maxLength: 12 });
  const property = fc.property(
    channel,
    rows,
    fc.constantFrom<Packing[]>('DT', 'DL', 'DZ', 'HL'),
    fc.integer({ min: 1, max: 70 }),
    (layout, tails, packing, blockBytes) => {
      const written = { ...speed, ...layout };
      const records = tails.map((tail, i) => {
        const bytes = record(20, i, () => undefined);
        bytes.set(tail, 8);
        return bytes;
      });
      const log = readMdf(
        writeMdf({ dataGroups: [[{ channels: [time, written], dataBytes: 20, records }]], packing, blockBytes }),
        mapOf(inputSpeed),
      );
      expect(log.timeS).toEqual(records.map((_, i) => i));
      expect(log.signals.inputSpeed).toEqual(records.map((bytes) => rawBits(bytes, written)));
    },
  );
  fc.assert(property, { numRuns: 150, seed: 11 });
});

it('floats in both byte orders and 64-bit counts come as the nearest double', () => {
  const records = [
    record(28, 0, (view) => {
      view.setFloat32(8, 1234.5, false);
      view.setFloat64(12, 0.1, false);
      view.setBigUint64(20, 2n ** 63n + 1025n, true);
    }),
  ];
  const channels = [
    time,
    { ...speed, dataType: 5, byteOffset: 8, bitCount: 32 },
    { ...speed, name: 'output speed', dataType: 5, byteOffset: 12, bitCount: 64 },
    { ...speed, name: 'engine speed', dataType: 0, byteOffset: 20, bitCount: 64 },
  ];
  const map = mapOf(
    inputSpeed,
    { ...inputSpeed, signal: 'outputSpeed', column: 'output speed' },
    { ...inputSpeed, signal: 'engineSpeed', column: 'engine speed' },
  );
  const { signals } = readMdf(writeMdf({ dataGroups: [[{ channels, dataBytes: 28, records }]] }), map);
  expect(signals).toEqual({ inputSpeed: [1234.5], outputSpeed: [0.1], engineSpeed: [2 ** 63 + 2048] });
});

/** Definitions of reference/check-values.md 13; tables and ranges from memory of the same standard. */
it.each<[string, WrittenConversion, number[], number[]]>([
  ['none', { type: 0, values: [] }, [0, 7], [0, 7]],
  ['linear', { type: 1, values: [-40, 0.5] }, [0, 10], [-40, -35]],
  ['rational', { type: 2, values: [1, 2, 3, 0, 1, 4] }, [0, 2], [0.75, 11 / 6]],
  [
    'a table with lines between',
    { type: 4, values: [10, 100, 20, 300] },
    [0, 10, 15, 20, 30],
    [100, 100, 200, 300, 300],
  ],
  ['a table of steps', { type: 5, values: [10, 100, 20, 300] }, [0, 14, 15, 16, 30], [100, 100, 100, 300, 300]],
  ['ranges', { type: 6, values: [0, 9, 1, 10, 19, 2, -1] }, [0, 9, 10, 50], [1, 1, 2, -1]],
  [
    'text with a line for all else',
    { type: 7, values: [65535], texts: ['invalid', { type: 1, values: [0, 2] }] },
    [5, 6],
    [10, 12],
  ],
])('conversion by %s', (_, conversion, raws, expected) => {
  expect(readMdf(withConversion(conversion, raws), mapOf(inputSpeed)).signals.inputSpeed).toEqual(expected);
});

it('values to text: states by their usual texts or the codes of the map, and a text in a number is left out and counted', () => {
  const conversion = { type: 7, values: [0, 1, 2, 3], texts: ['P', 'R', '1', 'first', 'unknown'] };
  const bytes = withConversion(conversion, [0, 1, 2, 3, 9], 'gear');
  const log = readMdf(bytes, mapOf({ ...gear, codes: { first: 1, unknown: null } }));
  expect(log.signals.gear).toEqual([0, -1, 1, 1, NaN]);
  expect(log.findings.damagedRows).toBe(0);
  const uncoded = readMdf(bytes, mapOf(gear));
  expect(uncoded.signals.gear).toEqual([0, -1, 1, NaN, NaN]);
  expect(uncoded.findings).toMatchObject({
    damagedByReason: { value_unreadable: 2 },
    firstDamage: [{ column: 'gear', found: 'first' }, { found: 'unknown' }],
  });
  expect(inspectBytes(bytes).firstRows.map((row) => row[1])).toEqual(['P', 'R', '1', 'first', 'unknown']);
});

it('ranges to text', () => {
  const bytes = withConversion({ type: 8, values: [0, 9, 10, 19], texts: ['N', '4', null] }, [3, 15, 40], 'gear');
  expect(readMdf(bytes, mapOf(gear)).signals.gear).toEqual([0, 4, 40]);
});

it('invalidation bits and the flag for a whole channel make values missing', () => {
  const flagged = { ...speed, flags: 2, invalidationBit: 9 };
  const dead = { ...speed, name: 'output speed', flags: 1 };
  const records = [0, 1, 2].map((i) =>
    record(12, i, (view) => {
      view.setUint16(8, 100 + i, true);
      view.setUint8(11, i === 1 ? 0b10 : 0b1101);
    }),
  );
  const bytes = writeMdf({
    dataGroups: [[{ channels: [time, flagged, dead], dataBytes: 10, invalidationBytes: 2, records }]],
  });
  const log = readMdf(bytes, mapOf(inputSpeed, { ...inputSpeed, signal: 'outputSpeed', column: 'output speed' }));
  expect(log.signals).toEqual({ inputSpeed: [100, NaN, 102], outputSpeed: [NaN, NaN, NaN] });
  expect(log.findings.missingValues).toEqual({ inputSpeed: 1, outputSpeed: 3 });
});

it('groups of different rates are joined to the faster speed, whichever comes first in the file', () => {
  const fast = speedGroup(300, 0.01);
  const slow = speedGroup(31, 0.1, 'output speed');
  const map = mapOf(inputSpeed, { ...inputSpeed, signal: 'outputSpeed', column: 'output speed' });
  for (const dataGroups of [[[fast], [slow]], [[slow], [fast]], [[slow, fast]]]) {
    const log = readMdf(writeMdf({ dataGroups, packing: 'HL' }), map);
    expect(log.timeS).toEqual(Array.from({ length: 300 }, (_, i) => i * 0.01));
    expect(log.signals.outputSpeed).toEqual(Array.from({ length: 300 }, (_, i) => expect.closeTo(1000 + i / 10, 6)));
  }
});

it('what is odd in groups of different rates is told in the order of their times', () => {
  const withGaps = (group: WrittenGroup, untimed: readonly number[]): WrittenGroup => ({
    ...group,
    records: group.records.map((bytes, i) =>
      untimed.includes(i) ? record(10, NaN, (view) => view.setUint16(8, i, true)) : bytes,
    ),
  });
  const fast = withGaps(speedGroup(4000, 0.01), [5, 2000, 3999]);
  const slow = withGaps(speedGroup(400, 0.1, 'output speed'), [1, 300]);
  const map = mapOf(inputSpeed, { ...inputSpeed, signal: 'outputSpeed', column: 'output speed' });
  const { findings } = readMdf(writeMdf({ dataGroups: [[fast], [slow]] }), map);
  expect(findings.firstDamage.map(({ line }) => line)).toEqual([2, 6, 2001, 301, 4000]);
});

it('records of varying length between others are passed over', () => {
  const text: WrittenGroup = {
    channels: [],
    dataBytes: 0,
    isVariableLength: true,
    records: [3, 0, 90].map((length) => new Uint8Array(length).fill(7)),
  };
  const bytes = writeMdf({ dataGroups: [[speedGroup(5), text]], packing: 'DL', blockBytes: 7 });
  expect(readMdf(bytes, mapOf(inputSpeed)).signals.inputSpeed).toEqual([1000, 1001, 1002, 1003, 1004]);
});

it('a virtual master counts records, and a master in milliseconds is believed', () => {
  const virtual: WrittenChannel = {
    ...time,
    type: 3,
    bitCount: 0,
    conversion: { type: 1, values: [0, 20] },
    unit: 'ms',
  };
  const group = { ...speedGroup(4), channels: [virtual, speed] };
  expect(readMdf(writeMdf({ dataGroups: [[group]] }), mapOf(inputSpeed)).timeS).toEqual([0, 0.02, 0.04, 0.06]);
});

it('repeated times and steps back stay as recorded, and a record without a time is left out', () => {
  const times = [0, 0.1, 0.1, NaN, 0.3, 0.2, 0.2, 0.4];
  const records = times.map((t, i) => record(10, t, (view) => view.setUint16(8, 500 + i, true)));
  const log = readMdf(
    writeMdf({ dataGroups: [[{ channels: [time, speed], dataBytes: 10, records }]] }),
    mapOf(inputSpeed),
  );
  expect(log.timeS).toEqual([0, 0.1, 0.1, 0.3, 0.2, 0.2, 0.4]);
  expect(log.signals.inputSpeed).toEqual([500, 501, 502, 504, 505, 506, 507]);
  expect(log.findings.damagedByReason).toEqual({ time_missing: 1 });
});

it('records that the file promises and does not hold are counted, a partial one is left out', () => {
  const group = { ...speedGroup(4), recordCount: 6, records: [...speedGroup(4).records, new Uint8Array(3)] };
  const log = readMdf(writeMdf({ dataGroups: [[group]] }), mapOf(inputSpeed));
  expect(log.timeS).toHaveLength(4);
  expect(log.findings.firstDamage).toMatchObject([
    { reason: 'too_few_fields', found: '2 of 6 records missing at the end' },
  ]);
});

it('channels that cannot be signals are named with the reason, and equal names are told apart', () => {
  const channels = [
    time,
    speed,
    speed,
    { ...speed, name: 'remark', dataType: 7 },
    { ...speed, name: 'picture', type: 1, dataType: 10 },
    { ...speed, name: 'half', dataType: 4, bitCount: 16 },
  ];
  const inspection = inspectBytes(
    writeMdf({ dataGroups: [[{ ...speedGroup(2), channels }], [{ ...speedGroup(2), channels: [speed] }]] }),
  );
  expect(inspection.columns.map(({ name }) => name)).toEqual(['time', 'turbine speed', 'turbine speed (2)']);
  expect(inspection.unread.map(({ reason }) => reason)).toEqual([
    'it holds text',
    'it holds values of varying length',
    'it holds floats of 16 bits',
    'it has no time',
  ]);
  expect(suggestSignalMap(inspection).map?.signals).toMatchObject([
    { signal: 'inputSpeed', column: 'turbine speed', unit: 'rpm' },
  ]);
});

/** Offsets of fields by the layout, counted from a block that is found by its id. */
function change(bytes: Uint8Array, id: string, at: number, value: bigint, size = 8): Uint8Array {
  const altered = bytes.slice();
  const start = Buffer.from(bytes).indexOf(id, 64);
  const view = new DataView(altered.buffer);
  if (size === 8) view.setBigUint64(start + at, value, true);
  else if (size === 4) view.setUint32(start + at, Number(value), true);
  else view.setUint8(start + at, Number(value));
  return altered;
}

const dt = writeMdf({ dataGroups: [[speedGroup(20)]] });
const dl = writeMdf({ dataGroups: [[speedGroup(20)]], packing: 'DL' });
const dz = writeMdf({ dataGroups: [[speedGroup(20)]], packing: 'DZ' });
const dgOf = (bytes: Uint8Array) => BigInt(Buffer.from(bytes).indexOf('##DG', 64));

it.each<[string, Uint8Array, string]>([
  ['a block longer than the file', change(dt, '##DT', 8, 2n ** 60n), 'mdf_damaged'],
  ['a block shorter than its header', change(dt, '##CN', 8, 8n), 'mdf_damaged'],
  ['a link count beyond its block', change(dt, '##CN', 16, 2n ** 61n), 'mdf_damaged'],
  ['a link beyond the file', change(dt, '##DG', 24 + 8, 2n ** 50n), 'mdf_damaged'],
  ['a link into the identification', change(dt, '##DG', 24 + 8, 8n), 'mdf_damaged'],
  ['a link to another kind of block', change(dt, '##DG', 24 + 8, dgOf(dt)), 'mdf_damaged'],
  ['a data group that links to itself', change(dt, '##DG', 24, dgOf(dt)), 'mdf_damaged'],
  ['record ids of 3 bytes', change(dt, '##DG', 24 + 32, 3n, 1), 'mdf_damaged'],
  ['records of 4 GB', change(dt, '##CG', 24 + 48 + 24, 2n ** 32n - 1n, 4), 'mdf_damaged'],
  ['a channel beyond its record', change(dt, '##CG', 24 + 48 + 24, 4n, 4), 'mdf_damaged'],
  ['a list with another count than links', change(dl, '##DL', 24 + 8 * 3 + 4, 5n, 4), 'mdf_damaged'],
  ['a packed block that claims 2^60 bytes', change(dz, '##DZ', 32, 2n ** 60n), 'mdf_damaged'],
  ['a packed block that claims 50 MB', change(dz, '##DZ', 32, 50_000_000n), 'mdf_damaged'],
  ['a packed block of other size than told', change(dz, '##DZ', 32, 7n), 'mdf_damaged'],
  ['packed bytes beyond their block', change(dz, '##DZ', 40, 2n ** 40n), 'mdf_damaged'],
  ['an unknown way of packing', change(dz, '##DZ', 26, 9n, 1), 'mdf_damaged'],
  [
    'a column-oriented list',
    Uint8Array.from(Buffer.from(Buffer.from(dt).toString('latin1').replace('##DT', '##LD'), 'latin1')),
    'mdf_unsupported',
  ],
  ['an unfinished measurement', Uint8Array.from([...Buffer.from('UnFinMF '), ...dt.subarray(8)]), 'mdf_unsupported'],
  [
    'version 3.30',
    Uint8Array.from(dt.map((byte, i) => (i === 28 ? 330 & 255 : i === 29 ? 1 : byte))),
    'mdf_unsupported',
  ],
  ['only its first 100 bytes', dt.subarray(0, 100), 'mdf_damaged'],
])('a file with %s is refused with what was found, what was expected and where', (_, bytes, code) => {
  expect(() => readMdf(bytes, mapOf(inputSpeed))).toThrow(
    expect.objectContaining({ name: 'LogFormatError', code, found: expect.any(String), expected: expect.any(String) }),
  );
});

it('a file that shrinks while it is read is refused', () => {
  const access: RandomAccess = {
    sizeBytes: dt.length,
    read: (offset, length) => dt.subarray(offset, offset + length - 1),
  };
  expect(() => inspectMdf(access, inflate)).toThrow(LogFormatError);
});

it('no read and no unpacking is larger than its bound, however large the file claims to be', () => {
  const lengths: number[] = [];
  const access: RandomAccess = {
    sizeBytes: 2 ** 42,
    read: (offset, length) => {
      lengths.push(length);
      const bytes = new Uint8Array(length);
      bytes.set(dt.subarray(offset, Math.min(dt.length, offset + length)));
      return bytes;
    },
  };
  const reader = createMdfReader(access, { map: mapOf(inputSpeed), inflate });
  expect([...reader.batches()][0].timeS).toHaveLength(20);
  expect(Math.max(...lengths)).toBeLessThanOrEqual(1 << 20);
});

it('altered, cut and foreign bytes are read or refused with a reason', () => {
  const files = [
    dt,
    dl,
    dz,
    writeMdf({ dataGroups: [[speedGroup(9), speedGroup(3, 0.1, 'output speed')]], packing: 'HL' }),
  ];
  const edit = fc.record({
    at: fc.double({ min: 0, max: 1, noNaN: true }),
    bytes: fc.uint8Array({ minLength: 1, maxLength: 9 }),
  });
  const property = fc.property(
    fc.constantFrom(...files),
    fc.array(edit, { minLength: 1, maxLength: 4 }),
    fc.option(fc.double({ min: 0, max: 1, noNaN: true })),
    (file, edits, cut) => {
      const altered = file.slice(0, cut === null ? file.length : Math.floor(cut * file.length));
      for (const { at, bytes } of edits)
        altered.set(
          bytes.subarray(0, Math.max(0, altered.length - Math.floor(at * altered.length))),
          Math.floor(at * altered.length),
        );
      try {
        inspectMdf(memoryAccess(altered), inflate);
        const { timeS } = readMdf(altered, mapOf(inputSpeed));
        expect(timeS.length).toBeLessThanOrEqual(altered.length);
      } catch (error) {
        if (!(error instanceof LogFormatError)) throw error;
      }
    },
  );
  fc.assert(property, { numRuns: 500, seed: 12 });
});

it('data values (DV) are read like records, but not apart from invalidation bits', () => {
  const asValues = (bytes: Uint8Array) =>
    new Uint8Array(Buffer.from(Buffer.from(bytes).toString('latin1').replace('##DT', '##DV'), 'latin1'));
  expect(readMdf(asValues(dt), mapOf(inputSpeed))).toEqual(readMdf(dt, mapOf(inputSpeed)));
  const flagged = writeMdf({
    dataGroups: [[{ ...speedGroup(0), invalidationBytes: 1, records: [new Uint8Array(11)] }]],
  });
  expect(() => readMdf(asValues(flagged), mapOf(inputSpeed))).toThrow(
    expect.objectContaining({ code: 'mdf_unsupported' }),
  );
});

/** Flags of reference/check-values.md 13: 1 local time, 2 offsets valid; offsets in minutes. */
it.each([
  ['universal time', 0, 1_700_000_000_000],
  ['universal time with its zone', 2, 1_700_000_000_000],
  ['local time without a zone', 1, undefined],
  ['local time with a zone of one hour', 3, 1_700_000_000_000 - 3_600_000],
])('the start in %s', (_, flags, utcMs) => {
  const bytes = writeMdf({ dataGroups: [[speedGroup(3)]], startNs: 1_700_000_000_000_000_000n });
  new DataView(bytes.buffer).setInt16(64 + 80, 60, true);
  bytes[64 + 84] = flags;
  expect(readMdf(bytes, mapOf(inputSpeed)).findings.startInstant?.utcMs).toBe(utcMs);
});
