import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  createMdfReader,
  memoryAccess,
  RateJoiner,
  type SignalBatch,
  type SignalId,
  type SignalMap,
} from '../src/index.js';
import { type Packing, type WrittenChannel, writeMdf } from './mdf-writer.js';
import { inflate, readMdf } from './read-mdf.js';
import { sharedFile, sharedText } from './shared-data.js';

/** In the order of the map, which is not that of the channels in the file. */
const signals: SignalId[] = ['gear', 'outputSpeed', 'inputSpeed', 'load'];
const channelOrder = [2, 0, 3, 1];
const units: Partial<Record<SignalId, string>> = { gear: '', outputSpeed: 'rpm', inputSpeed: 'rpm', load: '%' };
const map: SignalMap = {
  time: { column: 'time', format: 'seconds' },
  signals: signals.map((signal) => ({ signal, column: signal, unit: units[signal] ?? '' })),
};
const DATA_BYTES = 8 * (1 + signals.length);

/** One record: its time, and for each signal its value and whether it is marked as invalid. */
interface Sample {
  readonly timeS: number;
  readonly values: readonly number[];
  readonly isInvalid: readonly boolean[];
}

function fileOf(samples: readonly Sample[], packing: Packing, recordCount = samples.length): Uint8Array {
  const double = { dataType: 4, bitCount: 64 };
  const channels: WrittenChannel[] = [{ name: 'time', unit: 's', type: 2, syncType: 1, byteOffset: 0, ...double }];
  for (const [i, slot] of channelOrder.entries()) {
    const invalidity = { flags: 2, invalidationBit: slot };
    channels.push({
      name: signals[slot],
      unit: units[signals[slot]] ?? '',
      byteOffset: 8 + 8 * i,
      ...double,
      ...invalidity,
    });
  }
  const records = samples.map(({ timeS, values, isInvalid }) => {
    const bytes = new Uint8Array(DATA_BYTES + 1);
    const view = new DataView(bytes.buffer);
    view.setFloat64(0, timeS, true);
    for (const [i, slot] of channelOrder.entries()) view.setFloat64(8 + 8 * i, values[slot], true);
    bytes[DATA_BYTES] = isInvalid.reduce((bits, isSet, slot) => bits | (Number(isSet) << slot), 0);
    return bytes;
  });
  const group = { channels, dataBytes: DATA_BYTES, invalidationBytes: 1, records, recordCount };
  return writeMdf({ dataGroups: [[group]], packing, blockBytes: 500 });
}

/** What the record says of a signal. States are any number; quantities are finite, and scaling makes 0 of -0. */
function valueOf({ values, isInvalid }: Sample, slot: number): number {
  if (isInvalid[slot]) return NaN;
  if (signals[slot] === 'gear') return values[slot];
  return Number.isFinite(values[slot]) ? values[slot] + 0 : NaN;
}

function joined(
  ids: readonly SignalId[],
  rows: readonly { timeS: number; values: readonly number[] }[],
  batchSize: number,
) {
  const joiner = new RateJoiner(ids, batchSize);
  const slots = ids.map((_, slot) => slot);
  const batches: SignalBatch[] = [];
  for (const { timeS, values } of rows) {
    joiner.push(timeS, slots, values);
    batches.push(...joiner.takeFull());
  }
  batches.push(...joiner.end());
  return { batches, join: joiner.findings(), missingValues: joiner.missingValues(), sampleCount: joiner.sampleCount };
}

const step = fc.oneof(
  { weight: 6, arbitrary: fc.constant(0.01) },
  fc.constantFrom(0, 0.02, 0.7, 3, -0.01, -2, NaN, Infinity),
);
const value = fc.oneof(
  { weight: 4, arbitrary: fc.double() },
  fc.integer({ min: -1, max: 6 }),
  fc.constantFrom(-0, NaN),
);
const samplesOf = (steps: readonly (readonly [number, readonly number[], readonly boolean[]])[]): Sample[] => {
  let at = 5;
  return steps.map(([stepS, values, isInvalid]) => {
    if (!Number.isFinite(stepS)) return { timeS: stepS, values, isInvalid };
    at += stepS;
    return { timeS: at, values, isInvalid };
  });
};
const several = <T>(arbitrary: fc.Arbitrary<T>) =>
  fc.array(arbitrary, { minLength: signals.length, maxLength: signals.length });
const drive = fc
  .array(fc.tuple(step, several(value), several(fc.boolean())), { minLength: 1, maxLength: 120 })
  .map(samplesOf)
  .filter((samples) => samples.some(({ timeS }) => Number.isFinite(timeS)));

it('a group that has all signals is read as joining its records one by one would have it', () => {
  const property = fc.property(
    drive,
    fc.constantFrom<Packing[]>('DT', 'DL', 'DZ', 'HL'),
    fc.constantFrom(1, 7, 64, 8192),
    (samples, packing, batchSize) => {
      const timed = samples.filter(({ timeS }) => Number.isFinite(timeS));
      const rows = timed.map((sample) => ({
        timeS: sample.timeS,
        values: signals.map((_, slot) => valueOf(sample, slot)),
      }));
      const reader = createMdfReader(memoryAccess(fileOf(samples, packing)), { map, inflate, batchSize });
      const { batches, ...expected } = joined(signals, rows, batchSize);
      expect([...reader.batches()]).toEqual(batches);
      const findings = reader.findings();
      expect(findings).toMatchObject(expected);
      const infinite = timed.flatMap(({ values, isInvalid }) =>
        values.filter((number, slot) => Math.abs(number) === Infinity && !isInvalid[slot] && signals[slot] !== 'gear'),
      );
      expect(findings.damagedRows).toBe(samples.length - timed.length + infinite.length);
    },
  );
  fc.assert(property, { numRuns: 200, seed: 14 });
});

it('what is odd is told in the order of the records, and in that of the channels within one', () => {
  const sample = (timeS: number, ...values: number[]): Sample => ({
    timeS,
    values,
    isInvalid: [false, false, false, false],
  });
  const samples = [
    sample(0, 1, 900, 800, Infinity),
    sample(NaN, 1, Infinity, 800, 50),
    sample(0.01, 1, -Infinity, Infinity, 50),
  ];
  const { firstDamage } = readMdf(fileOf(samples, 'DT', 5), map).findings;
  expect(firstDamage.map(({ line, column, reason, found }) => [line, column, reason, found])).toEqual([
    [1, 'load', 'value_unreadable', 'Infinity'],
    [2, null, 'time_missing', 'a record without a time'],
    [3, 'inputSpeed', 'value_unreadable', 'Infinity'],
    [3, 'outputSpeed', 'value_unreadable', '-Infinity'],
    [3, null, 'too_few_fields', '2 of 5 records missing at the end'],
  ]);
});

it('lent arrays hold the batch until the next one is asked for, and are used again', () => {
  const samples = samplesOf(
    Array.from({ length: 100 }, (_, i) => [0.01, [i, 2 * i, 3 * i, i], [false, false, false, i === 7]]),
  );
  const bytes = fileOf(samples, 'HL');
  const options = { map, inflate, batchSize: 16 };
  const owned = [...createMdfReader(memoryAccess(bytes), options).batches()];
  const buffers = new Set<ArrayBufferLike>();
  const copies: SignalBatch[] = [];
  for (const batch of createMdfReader(memoryAccess(bytes), { ...options, isLending: true }).batches()) {
    buffers.add(batch.timeS.buffer);
    copies.push(structuredClone({ ...batch, timeS: batch.timeS.slice(), signals: sliced(batch) }));
  }
  expect(copies).toEqual(owned);
  expect(buffers.size).toBe(1);
});

function sliced({ signals: columns }: SignalBatch): SignalBatch['signals'] {
  return Object.fromEntries(Object.entries(columns).map(([id, values]) => [id, values.slice()]));
}

it.each(['mdf4_dt', 'mdf4_dz', 'mdf4_dl_dt', 'mdf4_dl_tdz'])(
  '%s, written by another project, comes as joining its expected values would have it',
  (name) => {
    const expected = JSON.parse(sharedText('reference/mdf4/mdf4_expected.json')).channels;
    const columns: [SignalId, string, string][] = [
      ['outputSpeed', 'output_speed', 'rpm'],
      ['inputSpeed', 'turbine_speed', 'rpm'],
      ['fluidTemperature', 'fluid_temp', '°C'],
      ['gear', 'gear', ''],
    ];
    const rows = (expected.time as number[]).map((timeS, i) => ({
      timeS,
      values: columns.map(([, column]) => expected[column][i] as number),
    }));
    const fileMap: SignalMap = { ...map, signals: columns.map(([signal, column, unit]) => ({ signal, column, unit })) };
    const reader = createMdfReader(memoryAccess(sharedFile(`reference/mdf4/${name}.mf4`)), {
      map: fileMap,
      inflate,
      batchSize: 16,
    });
    const { batches, ...findings } = joined(
      fileMap.signals.map(({ signal }) => signal),
      rows,
      16,
    );
    expect([...reader.batches()]).toEqual(batches);
    expect(reader.findings()).toMatchObject(findings);
  },
);
