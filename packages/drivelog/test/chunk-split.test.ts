import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { inspectLog, type SignalMap, suggestSignalMap } from '../src/index.js';
import { bytesOf, readLog } from './read-log.js';

const folder = new URL('./samples/', import.meta.url);
const readable = readdirSync(folder)
  .filter((file) => file.endsWith('.csv'))
  .map((file) => ({ file, bytes: new Uint8Array(readFileSync(new URL(file, folder))) }))
  .filter(({ bytes }) => canBeRead(bytes));

it.each(readable)('$file gives the same samples cut in two at any byte', ({ bytes }) => {
  const inspection = inspectLog(bytes);
  const options = { inspection, map: mapOf(bytes), car: { tyreRadiusM: 0.3, finalDriveRatio: 3.5 }, batchSize: 2 };
  const whole = JSON.stringify(readLog(bytes, options));
  for (let cut = 0; cut <= bytes.length; cut++) {
    expect(JSON.stringify(readLog(bytes, { ...options, cuts: [cut] })), `cut at byte ${cut}`).toBe(whole);
  }
});

const lines = fc.array(
  fc.oneof(
    { weight: 6, arbitrary: fc.tuple(fc.nat(1e6), fc.nat(9999)).map(([t, n]) => `${t / 1000},${n / 10},${n}`) },
    fc.constantFrom(
      '',
      '# note',
      '1,2',
      'x,1,2',
      '3,"4\n5",6',
      '3,"45",6',
      '7,"8',
      '9,"1"0,2',
      '1,2,3,4',
      'time,turbine,output shaft',
    ),
  ),
  { minLength: 1, maxLength: 60 },
);

it('cutting at any set of bytes and any batch size change nothing but the batches, lent or owned', () => {
  const property = fc.property(
    lines,
    fc.constantFrom('\n', '\r\n'),
    fc.array(fc.nat(2000), { maxLength: 20 }),
    fc.integer({ min: 1, max: 20 }),
    (rows, lineEnd, cuts, batchSize) => {
      const good = Array.from({ length: 70 }, (_, i) => `${i},${i},${i}`);
      const bytes = bytesOf(['time,turbine,output shaft', ...good, ...rows].join(lineEnd));
      const options = { inspection: inspectLog(bytes), map: mapOf(bytes) };
      const whole = readLog(bytes, { ...options, batchSize: 100 });
      const cut = readLog(bytes, { ...options, batchSize, cuts: cuts.filter((at) => at < bytes.length) });
      expect({ ...cut, batchLengths: [] }).toEqual({ ...whole, batchLengths: [] });
      expect(cut.batchLengths.slice(0, -1).every((length) => length === batchSize)).toBe(true);
      const lent = readLog(bytes, {
        ...options,
        batchSize,
        cuts: cuts.filter((at) => at < bytes.length),
        isLending: true,
      });
      expect(lent).toEqual(cut);
    },
  );
  fc.assert(property, { numRuns: 100, seed: 20260301 });
});

it('batches are 8192 samples long but for the last, however many bytes come at once', () => {
  const rows = Array.from({ length: 20_000 }, (_, i) => `${i / 100},${i % 4000},${i % 3000}`);
  const bytes = bytesOf(['time,turbine,output shaft', ...rows].join('\n'));
  const cuts = Array.from({ length: Math.floor(bytes.length / 1000) }, (_, i) => i * 1000);
  const batchLengths = [8192, 8192, 3616];
  expect(readLog(bytes)).toMatchObject({ batchLengths });
  expect(readLog(bytes, { cuts })).toMatchObject({ batchLengths });
});

function mapOf(bytes: Uint8Array): SignalMap {
  const { map } = suggestSignalMap(inspectLog(bytes));
  if (map === null) throw new Error('no map was suggested');
  return map;
}

function canBeRead(bytes: Uint8Array): boolean {
  try {
    readLog(bytes, { car: { tyreRadiusM: 0.3, finalDriveRatio: 3.5 } });
    return true;
  } catch {
    return false;
  }
}
