import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  buildImage,
  checkContent,
  defaultContent,
  type ImportFormat,
  importContent,
  MAX_IMPORT_BYTES,
  MAX_PROBLEMS,
  type RevisionContent,
  writeDocument,
  writeIntelHex,
  writeSRecord,
  writeTable,
  writeTables,
} from '../../src/index.js';
import { layout as imageless, platform } from '../example.ts';
import { contentsOf, imageLayout } from './example-image.ts';

const layout = imageLayout();
const about = {
  calibrationTitle: 'Sandpiper road',
  revisionNumber: 7,
  message: 'as it is',
  authorName: 'Thrift',
  createdAt: '2026-03-01T09:00:00Z',
};
const utf8 = (text: string) => new TextEncoder().encode(text);

/** Every way to write content into a file, with the format that it is recognised as. */
const writers: readonly [name: string, format: ImportFormat, write: (content: RevisionContent) => Uint8Array][] = [
  ['a document', 'document', (content) => utf8(writeDocument({ layout, content, about }))],
  ['bare content', 'content', (content) => utf8(JSON.stringify(content, null, 2))],
  ['an image', 'binary', (content) => buildImage(layout, platform, content).bytes],
  ['Intel HEX', 'intelHex', (content) => utf8(writeIntelHex(buildImage(layout, platform, content)))],
  [
    'Intel HEX of objcopy',
    'intelHex',
    (content) => utf8(writeIntelHex(buildImage(layout, platform, content), { style: 'objcopy' })),
  ],
  [
    'S-records',
    'sRecord',
    (content) => utf8(writeSRecord(buildImage(layout, platform, content), { header: 'sandpiper 7' })),
  ],
  [
    'S-records of objcopy',
    'sRecord',
    (content) => utf8(writeSRecord(buildImage(layout, platform, content), { style: 'objcopy' })),
  ],
  ['CSV', 'tables', (content) => utf8(writeTables({ layout, platform, content }))],
  ['TSV', 'tables', (content) => utf8(writeTables({ layout, platform, content, delimiter: '\t' }))],
  ['TSV in UTF-16', 'tables', (content) => utf16(writeTables({ layout, platform, content, delimiter: '\t' }))],
  ['CSV in windows-1252', 'tables', (content) => latin1(writeTables({ layout, platform, content, delimiter: ';' }))],
];
const samples = writers.map(([, , write]) => write(defaultContent(layout, platform)));

describe('importContent', () => {
  it.each(writers)('gives back exactly what was written as %s', (_, format, write) => {
    fc.assert(
      fc.property(contentsOf(layout), (content) => {
        const read = importContent({ layout, platform, bytes: write(content) });
        expect(read).toMatchObject({ kind: 'content', format, content });
      }),
      { numRuns: 25 },
    );
  });

  it.each([
    ['nothing', new Uint8Array(), /^The file is empty\./],
    ['too much', new Uint8Array(MAX_IMPORT_BYTES + 1), /^The file has 16777217 bytes, at most 16777216 are read\./],
    [
      'a picture',
      Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a),
      /^The file \(8 bytes\) is of no known format\. .* of exactly \d+ bytes\.$/,
    ],
    ['prose', utf8('Dear all,\nthe maps are attached.'), /of no known format/],
  ])('refuses %s and says what it knows', (_, bytes, message) => {
    const read = importContent({ layout, platform, bytes });
    expect(read.kind === 'refused' && read.problems[0].message).toMatch(message);
  });

  it.each([4, 6])('says that a layout without an image map has no records (%i)', (i) => {
    const read = importContent({ layout: imageless, platform, bytes: samples[i] });
    expect(read.kind === 'refused' && read.problems[0].message).toContain('Layout version 3 has no image map');
  });

  it('takes a file of the image size that could be text for an image when it is called so', () => {
    const target = { ...layout, tables: [{ ...layout.tables[4], id: 'offset' }] };
    const image = { ...layout.image, byteCount: 2, startAddress: 0, axes: [], checksums: [] };
    const tiny = { ...target, image: { ...image, tables: [{ tableId: 'offset', address: 0 }] } };
    const bytes = utf8('{}');
    expect(importContent({ layout: tiny, platform, bytes }).kind).toBe('refused');
    // '{}' as s16, little endian, in halves: 0x7D7B / 2.
    expect(importContent({ layout: tiny, platform, bytes, fileName: 'maps.BIN' })).toMatchObject({
      format: 'binary',
      content: { tables: { offset: { values: { all: [0x7d7b / 2] } } } },
    });
  });

  it('refuses to complete a file of tables from a revision of another layout, and needs none for a whole file', () => {
    const base = { ...defaultContent(layout, platform), layoutVersion: 2 };
    expect(importContent({ layout, platform, bytes: samples[7], base }).kind).toBe('content');
    const [spec] = layout.tables;
    const bytes = utf8(writeTable(spec, platform, base.tables[spec.id]));
    const read = importContent({ layout, platform, bytes, base });
    expect(read.kind === 'refused' && read.problems[0].message).toContain('layout version 2; expected');
  });
});

describe('importContent with any bytes', () => {
  const base = defaultContent(layout, platform);
  const shapeCodes = ['tableMissing', 'variantMissing', 'valueCount', 'axisOrder', 'notANumber'];

  /** Content of the layout's shape, or between one and fifty problems that can be read. */
  function holds(bytes: Uint8Array, fileName?: string): void {
    const read = importContent({ layout, platform, bytes, fileName, base });
    const faults =
      read.kind === 'content'
        ? checkContent(layout, platform, read.content).filter(({ code }) => shapeCodes.includes(code))
        : read.problems.filter(({ message }) => message.length > 3000);
    expect(faults).toEqual([]);
    const problemCount = read.kind === 'refused' ? read.problems.length : 1;
    expect(problemCount >= 1 && problemCount <= MAX_PROBLEMS).toBe(true);
  }

  it('answers random bytes', () => {
    const sizes = fc.constantFrom(0, 1, 16, 300, layout.image.byteCount);
    const bytes = sizes.chain((length) => fc.uint8Array({ minLength: length, maxLength: length }));
    fc.assert(
      fc.property(bytes, fc.constantFrom(undefined, 'a.bin', 'a.hex'), (given, name) => holds(given, name)),
      { numRuns: 300 },
    );
  });

  it('answers random text that begins like one of the formats', () => {
    const start = fc.constantFrom(
      '{"',
      ':10000000',
      'S1130000',
      'table,',
      'table;base;',
      'table\toffset\tpressure\tkPa\n',
    );
    fc.assert(
      fc.property(start, fc.string({ unit: 'binary', maxLength: 300 }), (begin, rest) => holds(utf8(begin + rest))),
      { numRuns: 300 },
    );
  });

  it('answers files with bytes changed, put in, left out, doubled or cut off', () => {
    const file = fc.constantFrom(...samples);
    const change = fc.record({
      at: fc.nat(),
      kind: fc.constantFrom('change', 'insert', 'drop', 'double', 'cut'),
      byte: fc.oneof(fc.nat(255), fc.constantFrom(...utf8('"\n,;:S09{}[]-.e\t'))),
    });
    fc.assert(
      fc.property(file, fc.array(change, { minLength: 1, maxLength: 4 }), (bytes, changes) => {
        holds(changes.reduce(spoil, bytes));
      }),
      { numRuns: 500 },
    );
  });

  it.each([
    ['commas', ','],
    ['line ends', '\n'],
    ['quotation marks', '"'],
    ['brackets', '['],
    ['digits', '1'],
    ['rows', 'a,1\n'],
    ['variants', 'all,1\n'],
  ])('answers a million characters of %s behind the beginning of a file', (_, filler) => {
    for (const start of ['table,offset,pressure,kPa\nvariant,value\n', '{"a":', '{"a":"', ':10', 'S1130000']) {
      holds(utf8(start + filler.repeat(Math.floor(1_000_000 / filler.length))));
    }
  });
});

function spoil(bytes: Uint8Array, { at, kind, byte }: { at: number; kind: string; byte: number }): Uint8Array {
  const place = at % (bytes.length + 1);
  const [before, after] = [bytes.subarray(0, place), bytes.subarray(place)];
  switch (kind) {
    case 'change':
      return Uint8Array.of(...before, byte, ...after.subarray(1));
    case 'insert':
      return Uint8Array.of(...before, byte, ...after);
    case 'drop':
      return Uint8Array.of(...before, ...after.subarray(1));
    case 'double':
      return Uint8Array.of(...before, ...after, ...after);
    default:
      return before.slice();
  }
}

function utf16(text: string): Uint8Array {
  const units = Uint16Array.from(`\ufeff${text}`, (character) => character.charCodeAt(0));
  return new Uint8Array(units.buffer);
}

function latin1(text: string): Uint8Array {
  return Uint8Array.from(text, (character) => character.charCodeAt(0));
}
