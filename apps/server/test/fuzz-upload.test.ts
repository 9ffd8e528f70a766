import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { busSignalsOf, KELP_BUS } from '@syncline/drivetrain';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { writeMdf } from '../../../packages/drivelog/test/mdf-writer.js';
import { busCapture } from './support/bus-capture.js';
import { openBytes } from './support/open-bytes.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';
import { zipOf } from './support/zip-file.js';

const MDF = fileURLToPath(new URL('../../../../shared/reference/mdf4/', import.meta.url));
/** By another project's writer (see the check values there); where they are absent, one of our own writing. */
const measurements = existsSync(MDF)
  ? ['mdf4_dt', 'mdf4_dl_tdz'].map((name) => readFileSync(`${MDF}${name}.mf4`))
  : [ownMeasurement()];

function ownMeasurement(): Buffer {
  const channel = { unit: 'rpm', dataType: 4, bitCount: 64 };
  const records = Array.from(
    { length: 50 },
    (_, i) => new Uint8Array(Float64Array.of(i / 50, 800 + i, 200 + i).buffer),
  );
  const channels = [
    { ...channel, name: 'time', unit: 's', type: 2, syncType: 1, byteOffset: 0 },
    { ...channel, name: 'turbine speed', byteOffset: 8 },
    { ...channel, name: 'output speed', byteOffset: 16 },
  ];
  return Buffer.from(writeMdf({ dataGroups: [[{ channels, dataBytes: 24, records }]], packing: 'DZ' }));
}

const csv = Buffer.from(syntheticDriveCsv({ rateHz: 20 }));
const jsonLines = Buffer.from(
  Array.from({ length: 100 }, (_, i) => `{"time":${i / 20},"turbine rpm":${800 + i},"output rpm":${200 + i}}\n`).join(
    '',
  ),
);
const plain = [csv, jsonLines, busCapture(KELP_BUS, 'fuzz', 0.5), ...measurements];
const corpus = plain.flatMap((bytes) => [
  bytes,
  gzipSync(bytes),
  zipOf([{ name: 'drive', bytes }]),
  zipOf([
    { name: 'drive', bytes, isStored: true },
    { name: 'note.txt', bytes: 'as agreed' },
  ]),
]);

/** No file of the corpus may give more samples than this, however it is changed: nothing is made up. */
const MAX_BYTES = 2_000_000;
const busSignals = busSignalsOf(KELP_BUS);

/** Whether bytes are read as they must be, or refused with a reason that can be shown; throws on anything else. */
async function isReadOrRefused(bytes: Uint8Array, isOnDisk: boolean): Promise<boolean> {
  try {
    const { batches } = await openBytes(bytes, { isOnDisk, busSignals, maxBytes: MAX_BYTES });
    const samples = batches.reduce((sum, { timeS }) => sum + timeS.length, 0);
    return samples <= MAX_BYTES / 2;
  } catch (error) {
    const isReason = error instanceof Error && ['LogFormatError', 'UnpackError'].includes(error.name);
    if (isReason && error.message.length > 10) return true;
    throw error;
  }
}

interface Change {
  readonly kind: 'flip' | 'cut' | 'double' | 'insert' | 'number';
  /** Place in the file, 0 to 1. */
  readonly at: number;
  readonly length: number;
  readonly byte: number;
}

const change = fc.record<Change>({
  kind: fc.constantFrom<Change['kind'][]>('flip', 'flip', 'cut', 'double', 'insert', 'number'),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  length: fc.integer({ min: 1, max: 64 }),
  byte: fc.constantFrom(0, 1, 0x7f, 0x80, 0xff, 10, 44, 80),
});

function damaged(bytes: Uint8Array, { kind, at, length, byte }: Change): Uint8Array {
  const start = Math.floor(at * bytes.length);
  const end = Math.min(bytes.length, start + length);
  const part = bytes.slice(start, end);
  const eight = bytes.slice(start, start + 8).fill(byte);
  const replacement = {
    flip: [byte, ...part.slice(1)],
    cut: [],
    double: [...part, ...part],
    insert: [...new Uint8Array(length).fill(byte), ...part],
    // Lengths, counts and offsets of binary formats are eight bytes long.
    number: [...eight, ...part.slice(8)],
  }[kind];
  return Uint8Array.from([...bytes.slice(0, start), ...replacement, ...bytes.slice(end)]);
}

it('every file of the corpus is read as it is', async () => {
  for (const bytes of corpus) {
    const { batches } = await openBytes(bytes, { busSignals });
    expect(batches.length).toBeGreaterThan(0);
  }
});

it('a damaged file of any format, packed or not, is read or refused with a reason', async () => {
  const changes = fc.array(change, { minLength: 1, maxLength: 4 });
  const property = fc.asyncProperty(
    fc.constantFrom(...corpus),
    changes,
    fc.boolean(),
    async (bytes, list, isOnDisk) => {
      expect(await isReadOrRefused(list.reduce(damaged, bytes), isOnDisk)).toBe(true);
    },
  );
  await fc.assert(property, { numRuns: 600, seed: 20260301 });
});

it('a file cut off at any place is read or refused with a reason', async () => {
  const share = fc.double({ min: 0, max: 1, noNaN: true });
  const property = fc.asyncProperty(fc.constantFrom(...corpus), share, async (bytes, at) => {
    expect(await isReadOrRefused(bytes.subarray(0, Math.floor(at * bytes.length)), true)).toBe(true);
  });
  await fc.assert(property, { numRuns: 200, seed: 2 });
});

it('what is damaged before it was packed is read or refused with a reason', async () => {
  const packing = fc.constantFrom(
    (bytes: Uint8Array) => gzipSync(bytes),
    (bytes: Uint8Array) => zipOf([{ name: 'drive', bytes }]),
  );
  const changes = fc.array(change, { minLength: 1, maxLength: 4 });
  const property = fc.asyncProperty(fc.constantFrom(...plain), changes, packing, async (bytes, list, pack) => {
    expect(await isReadOrRefused(pack(list.reduce(damaged, bytes)), false)).toBe(true);
  });
  await fc.assert(property, { numRuns: 300, seed: 3 });
});
