import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { openBytes } from './support/open-bytes.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';
import { zipOf } from './support/zip-file.js';

const csv = syntheticDriveCsv();
const README = 'dear maintainer,\nthis is the drive of Sunday\n';
const MDF = fileURLToPath(new URL('../../../../shared/reference/mdf4/mdf4_dt.mf4', import.meta.url));

/** MDF by another project's writer; see the check values there. */
function measurement(): Buffer {
  if (!existsSync(MDF)) throw new Error(`The reference files are absent: expected ${MDF}.`);
  return readFileSync(MDF);
}

const timesOf = ({ batches }: Awaited<ReturnType<typeof openBytes>>) => batches.flatMap(({ timeS }) => [...timeS]);

describe('the same drive', () => {
  it.each([
    ['gzip', gzipSync(csv)],
    ['gzip in two members', Buffer.concat([gzipSync(csv.slice(0, 500)), gzipSync(csv.slice(500))])],
    ['zip', zipOf([{ name: 'drives/sunday.csv', bytes: csv }])],
    ['zip without compression', zipOf([{ name: 'sunday.csv', bytes: csv, isStored: true }])],
    [
      'zip beside a note and what file managers add',
      zipOf([
        { name: 'drives/', bytes: '', isStored: true },
        { name: '__MACOSX/drives/._sunday.csv', bytes: csv },
        { name: 'drives/.DS_Store', bytes: 'x' },
        { name: 'drives/readme.txt', bytes: README },
        { name: 'drives/sunday.csv', bytes: csv },
      ]),
    ],
  ])('packed as %s is read to the same samples', async (_, bytes) => {
    const plain = await openBytes(Buffer.from(csv));
    for (const isOnDisk of [false, true]) {
      const packed = await openBytes(bytes, { isOnDisk });
      expect(packed.batches).toEqual(plain.batches);
      expect(packed.progress.at(-1)).toBe(1);
    }
  });

  it.each([
    ['as it is, in place', (bytes: Buffer) => bytes, true, []],
    ['from a compressed store, unpacked to disk', (bytes: Buffer) => bytes, false, ['measurement']],
    ['from gzip', (bytes: Buffer) => gzipSync(bytes), true, ['measurement']],
    ['from a zip archive', (bytes: Buffer) => zipOf([{ name: 'a.mf4', bytes }]), true, ['measurement']],
    [
      'from a zip archive in a compressed store',
      (bytes: Buffer) => zipOf([{ name: 'a.mf4', bytes }]),
      false,
      ['archive', 'measurement'],
    ],
  ])('as MDF is read %s', async (_, pack, isOnDisk, scratchFiles) => {
    const opened = await openBytes(pack(measurement()), { isOnDisk });
    expect(opened).toMatchObject({ format: 'mdf', scratchFiles });
    expect(timesOf(opened)).toHaveLength(50);
    expect(opened.progress.at(-1)).toBe(1);
    expect(opened.progress).toEqual([...opened.progress].sort((a, b) => a - b));
  });
});

describe('an archive is refused with what is in it', () => {
  it.each([
    [
      'when it holds two logs',
      zipOf([
        { name: 'a/monday.csv', bytes: csv },
        { name: 'b/tuesday.csv', bytes: csv },
      ]),
      /holds 2 drive logs: “monday\.csv”, “tuesday\.csv”\. Upload each by itself/,
    ],
    [
      'when it holds none',
      zipOf([{ name: 'readme.txt', bytes: README }]),
      /holds no drive log; in it is “readme\.txt” \(/,
    ],
    ['when it is empty', zipOf([]), /holds no drive log; in it is nothing/],
    ['when its log is encrypted', zipOf([{ name: 'a.csv', bytes: csv, isEncrypted: true }]), /“a\.csv” \(encrypted\)/],
    [
      'when its log is packed by an unusual method',
      zipOf([{ name: 'a.csv', bytes: csv, method: 12 }]),
      /“a\.csv” \(packed by method 12, which is not read\)/,
    ],
    [
      'when another archive is in it',
      zipOf([{ name: 'inner.zip', bytes: zipOf([{ name: 'a.csv', bytes: csv }]) }]),
      /“inner\.zip” \(a zip archive, or an office document; archives inside archives/,
    ],
    [
      'when gzip is in it',
      zipOf([{ name: 'a.csv.gz', bytes: gzipSync(csv) }]),
      /gzip-compressed data; archives inside/,
    ],
    [
      'when it lists too many entries',
      zipOf(Array.from({ length: 1001 }, (_, i) => ({ name: `${i}/`, bytes: '', isStored: true }))),
      /lists 1001 entries; at most 1000/,
    ],
    [
      'when it holds too many files',
      zipOf(Array.from({ length: 51 }, (_, i) => ({ name: `${i}.csv`, bytes: 'x' }))),
      /holds 51 files: “0\.csv”/,
    ],
    ['when its end is cut off', zipOf([{ name: 'a.csv', bytes: csv }]).subarray(0, -40), /The zip archive is damaged/],
    [
      'when a checksum is wrong',
      zipOf([{ name: 'a.csv', bytes: csv, statedCrc: 1 }]),
      /damaged: the checksum of the drive log is wrong/,
    ],
    [
      'when a name would leave the folder',
      zipOf([{ name: '../../etc/drive.csv', bytes: csv }]),
      /The zip archive is damaged: invalid relative path/,
    ],
  ])('%s', async (_, bytes, said) => {
    await expect(openBytes(bytes)).rejects.toMatchObject({
      name: 'UnpackError',
      code: 'log.unreadable',
      message: expect.stringMatching(said),
    });
  });

  it.each([
    ['gzip in gzip', gzipSync(gzipSync(csv)), /It holds gzip-compressed data; archives inside archives are not read/],
    ['zip in gzip', gzipSync(zipOf([{ name: 'a.csv', bytes: csv }])), /It holds a zip archive/],
  ])('when it is %s', async (_, bytes, said) => {
    await expect(openBytes(bytes)).rejects.toThrow(said);
  });
});

describe('a file made to swell', () => {
  const header = csv.slice(0, 2000);
  /** Repeated rows pack a thousandfold. */
  const swollen = Buffer.from(header + '12,1,1,1,3,40,80\n'.repeat(4_000_000));

  it.each([
    ['gzip', gzipSync(swollen), 'unpacks to more than 5000000 bytes'],
    [
      'zip',
      zipOf([{ name: 'a.csv', bytes: swollen }]),
      `“a.csv” unpacks to ${swollen.length} bytes; 5000000 are allowed`,
    ],
  ])('as %s is given up at the limit', async (_, bytes, said) => {
    await expect(openBytes(bytes, { maxBytes: 5_000_000 })).rejects.toMatchObject({
      code: 'log.tooLarge',
      message: expect.stringContaining(said),
    });
  });

  it.each([
    ['gzip', gzipSync(swollen)],
    ['zip', zipOf([{ name: 'a.csv', bytes: swollen }])],
  ])('as %s is given up by its ratio, long before its end', async (_, bytes) => {
    await expect(openBytes(bytes)).rejects.toMatchObject({ message: expect.stringContaining('more than 200 times') });
  });

  it('as zip that states less than it holds is given up there', async () => {
    const bytes = zipOf([{ name: 'a.csv', bytes: csv, statedSize: 3000 }]);
    await expect(openBytes(bytes)).rejects.toMatchObject({ message: expect.stringContaining('archive is damaged') });
  });

  it('as MDF in gzip is given up at the limit, and leaves nothing that its caller does not remove', async () => {
    const bytes = gzipSync(Buffer.concat([measurement(), Buffer.alloc(3_000_000, 'abcdefgh')]));
    await expect(openBytes(bytes, { maxBytes: 1_000_000 })).rejects.toMatchObject({ code: 'log.tooLarge' });
  });
});

it.each([
  ['zstd', [0x28, 0xb5, 0x2f, 0xfd], /found zstd-compressed data; expected CSV text/],
  ['a picture', [0x89, 0x50, 0x4e, 0x47], /found a PNG picture; expected CSV text/],
  ['an old measurement file', Buffer.from('MDF     3.30    '.padEnd(200, ' ')), /found .*expected .*MDF 4/],
])('%s is refused with what was seen and what is accepted', async (_, bytes, said) => {
  await expect(openBytes(Uint8Array.from(bytes), { isOnDisk: true })).rejects.toThrow(said);
});
