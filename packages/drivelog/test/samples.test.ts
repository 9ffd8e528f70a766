import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { inspectCsv, LogFormatError, type RoadToShaft, type SignalMap, suggestSignalMap } from '../src/index.js';
import { readLog } from './read-log.js';

/** The twin of a sample: what a reader must find in it. Subsets are compared, except for samples and columns. */
interface Expected {
  readonly dialect?: object;
  readonly commentPrefix?: string;
  readonly preamble?: string[];
  readonly inspectionFindings?: string[];
  /** Name and unit of each column. */
  readonly columns?: [string, string | null][];
  readonly time?: object;
  /** Used in place of the suggested map. */
  readonly map?: SignalMap;
  readonly car?: RoadToShaft;
  /** null stands for a missing value. */
  readonly timeS?: number[];
  readonly signals?: Record<string, (number | null)[]>;
  readonly findings?: object;
  readonly error?: { code: string; position?: object };
}

const folder = new URL('./samples/', import.meta.url);
const files = readdirSync(folder);
const names = files.filter((file) => file.endsWith('.csv')).map((file) => file.slice(0, -'.csv'.length));

it('every sample has its twin and every twin its sample', () => {
  const twins = names.flatMap((name) => [`${name}.csv`, `${name}.expected.json`]);
  expect(files.toSorted()).toEqual(twins.toSorted());
});

const samples = names.map((name) => ({
  name,
  bytes: new Uint8Array(readFileSync(new URL(`${name}.csv`, folder))),
  expected: JSON.parse(readFileSync(new URL(`${name}.expected.json`, folder), 'utf8')) as Expected,
}));

it.each(samples.filter(({ expected }) => expected.error))('sample $name is refused with the reason', (sample) => {
  const { map, error } = sample.expected;
  const refusal = refusalOf(() => readLog(sample.bytes, map && { map }));
  expect(refusal).toMatchObject(error ?? {});
  expect(refusal.mend).not.toBe('');
});

it.each(samples.filter(({ expected }) => expected.columns ?? expected.dialect ?? expected.inspectionFindings))(
  'sample $name is understood',
  ({ bytes, expected }) => {
    const inspection = inspectCsv(bytes);
    expect(inspection).toMatchObject(subset(expected, ['dialect', 'commentPrefix', 'preamble']));
    const found = {
      columns: inspection.columns.map(({ name, unit }) => [name, unit]),
      inspectionFindings: inspection.findings.map((finding) => finding.code),
    };
    expect(found).toMatchObject(subset(expected, ['columns', 'inspectionFindings']));
  },
);

it.each(samples.filter(({ expected }) => expected.timeS))('sample $name is read', ({ bytes, expected }) => {
  const map = expected.map ?? suggestSignalMap(inspectCsv(bytes)).map;
  if (map === null) throw new Error('no map was suggested');
  expect(map).toMatchObject(subset(expected, ['time']));
  const log = readLog(bytes, { map, car: expected.car });
  expectSamples('timeS', log.timeS, expected.timeS ?? []);
  for (const [id, values] of Object.entries(expected.signals ?? {})) expectSamples(id, log.signals[id] ?? [], values);
  expect(log.findings).toMatchObject({ ...expected.findings, byteCount: bytes.length });
});

function subset(expected: Expected, keys: readonly (keyof Expected)[]): object {
  return Object.fromEntries(keys.filter((key) => expected[key] !== undefined).map((key) => [key, expected[key]]));
}

function refusalOf(read: () => unknown): LogFormatError {
  try {
    read();
  } catch (error) {
    if (error instanceof LogFormatError) return error;
    throw error;
  }
  throw new Error('the file was read');
}

/**
 * Equal to 12 digits, so that a twin may state a converted value in decimals, and times to a nanosecond, which is what
 * differences of clock times can give; missing where the twin says null.
 */
function expectSamples(name: string, found: readonly number[], expected: readonly (number | null)[]): void {
  const isRight = (value: number | null, i: number) => {
    if (value === null) return Number.isNaN(found[i]);
    return Math.abs(found[i] - value) <= (name === 'timeS' ? 1e-9 : 1e-12 * Math.max(1, Math.abs(value)));
  };
  const wrong = expected.flatMap((value, i) => (isRight(value, i) ? [] : [{ i, found: found[i], expected: value }]));
  expect({ name, length: found.length, wrong }).toEqual({ name, length: expected.length, wrong: [] });
}
