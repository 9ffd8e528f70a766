import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  buildImage,
  checkLayout,
  defaultContent,
  type Layout,
  type RevisionContent,
  readImage,
} from '../../src/index.js';
import { aTable, contentWith, layout, platform } from '../example.ts';
import { refusalOf } from '../refusal.ts';
import { contentsOf, imageLayout, tables } from './example-image.ts';

const layouts = [
  imageLayout(tables, { byteOrder: 'little' }),
  imageLayout(tables, { byteOrder: 'big', startAddress: 0xffff_f000, fill: 0 }),
];
const [little] = layouts;

function readBack(target: Layout, image: { startAddress: number; bytes: Uint8Array }): RevisionContent {
  const read = readImage(target, platform, image);
  if (read.kind === 'refused') throw new Error(JSON.stringify(read.problems));
  return read.content;
}

function problemsOf(target: Layout, image: Parameters<typeof readImage>[2]) {
  const read = readImage(target, platform, image);
  return read.kind === 'refused' ? read.problems : [];
}

describe('buildImage', () => {
  it('is tried with layouts that checkLayout finds nothing wrong with', () => {
    for (const target of layouts) expect(checkLayout(target, platform)).toEqual([]);
  });

  it('lays bytes down as worked out by hand', () => {
    const spec = aTable({
      axes: [{ quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 50, 100], editable: true }],
    });
    const image = {
      startAddress: 0x8000,
      byteCount: 16,
      fill: 0xee,
      byteOrder: 'big',
      axes: [{ tableId: 'offset', axis: 0, address: 0x8000, storage: { type: 'u8', resolution: 0.5, offset: 0 } }],
      tables: [{ tableId: 'offset', address: 0x8004 }],
      checksums: [
        { kind: 'sum16', from: 0x8000, to: 0x800c, address: 0x800c },
        { kind: 'sum8', from: 0x800c, to: 0x800e, address: 0x800f },
      ],
    } as const;
    const target: Layout = { ...layout, tables: [spec], rules: [], image };
    const content = defaultContent(target, platform);
    const made = { ...content, tables: { offset: { axes: [[0, 50, 100]], values: { all: [1, -0.5, 100.2] } } } };
    // Break points in halves 0, 100, 200; values in halves 2, −1, 200 (100.2 goes to 100); big endian.
    const expected = [0x00, 0x64, 0xc8, 0xee, 0x00, 0x02, 0xff, 0xff, 0x00, 0xc8, 0xee, 0xee];
    const sum = expected.reduce((total, byte) => total + byte, 0);
    const [high, low] = [sum >> 8, sum & 0xff];
    const { startAddress, bytes } = buildImage(target, platform, made);
    expect(startAddress).toBe(0x8000);
    expect([...bytes]).toEqual([...expected, high, low, 0xee, (high + low) & 0xff]);
    const littleTarget: Layout = { ...target, image: { ...image, byteOrder: 'little' } };
    expect([...buildImage(littleTarget, platform, made).bytes.subarray(4, 14)]).toEqual([
      0x02,
      0x00,
      0xff,
      0xff,
      0xc8,
      0x00,
      0xee,
      0xee,
      low,
      high,
    ]);
  });

  it('needs a layout with an image map', () => {
    expect(refusalOf(() => buildImage(layout, platform, contentWith({})))).toEqual([
      'noImage',
      "Layout version 3 of 'sandpiper' has no image map, so no memory image can be made or read. Give a new layout version a map.",
    ]);
  });

  it.each([
    ['a value that does not fit', { fillTime: { A: [256, 80, 80] } }, 'notStorable', 'fillTime'],
    ['a value that is none', { fillTime: { A: [Number.NaN, 80, 80] } }, 'notStorable', 'fillTime'],
    ['too few values', { fillTime: { A: [80, 80] } }, 'wrongShape', '2 numbers, the layout has 3'],
  ])('refuses %s instead of writing another one', (_, values, code, text) => {
    const content = { ...defaultContent(little, platform), ...contentWith(values) };
    const complete = { ...content, tables: { ...defaultContent(little, platform).tables, ...content.tables } };
    const [found, message] = refusalOf(() => buildImage(little, platform, complete));
    expect(found).toBe(code);
    expect(message).toContain(text);
  });

  it('refuses break points that fall together when stored', () => {
    const content = defaultContent(little, platform);
    const byFluid = { ...content.tables.byFluid, axes: [[20, 20.1, 90]] };
    const [code, message] = refusalOf(() =>
      buildImage(little, platform, { ...content, tables: { ...content.tables, byFluid } }),
    );
    expect(code).toBe('notStorable');
    expect(message).toContain("Table 'byFluid', break points of Fluid temperature, number 2: 20.1 is not told apart");
  });
});

describe('readImage', () => {
  it.each(layouts.map((target) => [target.image.byteOrder, target] as const))(
    'gives back exactly the content on storage steps (%s endian)',
    (_, target) => {
      fc.assert(
        fc.property(contentsOf(target), (content) => {
          expect(readBack(target, buildImage(target, platform, content))).toEqual(content);
        }),
        { numRuns: 50 },
      );
    },
  );

  it.each(layouts.map((target) => [target.image.byteOrder, target] as const))(
    'gives content that makes the same bytes again, whatever the values were (%s endian)',
    (_, target) => {
      const anything = contentsOf(target, ({ storage }) => {
        const [min, max] =
          storage.type === 'f32' ? [-1e30, 1e30] : [storage.offset, storage.offset + 100 * storage.resolution];
        return fc.double({ min, max, noNaN: true });
      });
      fc.assert(
        fc.property(anything, (content) => {
          const image = buildImage(target, platform, content);
          expect(buildImage(target, platform, readBack(target, image))).toEqual(image);
        }),
        { numRuns: 50 },
      );
    },
  );

  it('names address, found and expected of every checksum that a changed byte breaks', () => {
    const image = buildImage(little, platform, defaultContent(little, platform));
    image.bytes[100] ^= 0x01;
    const found = problemsOf(little, image);
    expect(found).toHaveLength(5);
    const { address, from, to } = little.image.checksums[0];
    expect(found[0]).toEqual({
      line: null,
      address,
      tableId: null,
      variant: null,
      message: expect.stringMatching(
        new RegExp(
          `^Checksum crc32 at 0x${address.toString(16).toUpperCase()} over 0x${from.toString(16).toUpperCase()} to ` +
            `0x${(to - 1).toString(16).toUpperCase()}: found [0-9A-F]{8}, expected [0-9A-F]{8}\\. `,
        ),
      ),
    });
  });

  it('finds any single damaged byte that something claims', () => {
    const image = buildImage(little, platform, defaultContent(little, platform));
    // The last two bytes are the free one and the sum's, which no other checksum covers.
    const places = fc.integer({ min: 0, max: image.bytes.length - 2 });
    fc.assert(
      fc.property(places, fc.integer({ min: 1, max: 255 }), (at, flip) => {
        const bytes = image.bytes.slice();
        bytes[at] ^= flip;
        expect(problemsOf(little, { ...image, bytes }).length).toBeGreaterThan(0);
      }),
    );
  });

  it('names the table and the address of bytes that the file lacks', () => {
    const image = buildImage(little, platform, defaultContent(little, platform));
    const { address } = little.image.tables[0];
    const found = problemsOf(little, { ...image, isPresent: (i) => i !== address - image.startAddress + 3 });
    expect(found).toEqual([
      {
        line: null,
        address,
        tableId: 'base',
        variant: '1-2',
        message: expect.stringMatching(/^Table 'base', 1-2 at 0x\w+ to 0x\w+: the file lacks 1 of 24 bytes\. /),
      },
    ]);
  });

  it.each([
    [
      'size',
      { startAddress: little.image.startAddress, bytes: new Uint8Array(7) },
      /^The image has 7 bytes from 0x40000; /,
    ],
    ['place', { startAddress: 0, bytes: new Uint8Array(little.image.byteCount) }, /bytes from 0x0000; .* from 0x40000/],
  ])('refuses an image of another %s', (_, image, message) => {
    expect(problemsOf(little, image)).toEqual([expect.objectContaining({ message: expect.stringMatching(message) })]);
  });

  it('refuses break points that do not rise and binary32 numbers that are none', () => {
    const spec = aTable({
      storage: { type: 'f32', resolution: 1, offset: 0 },
      axes: [{ quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 50], editable: true }],
    });
    const whole = imageLayout([spec]);
    const target = { ...whole, image: { ...whole.image, checksums: [] } };
    const image = buildImage(target, platform, defaultContent(target, platform));
    const view = new DataView(image.bytes.buffer);
    view.setInt32(0, 400, true);
    view.setFloat32(target.image.tables[0].address - image.startAddress + 4, Number.NaN, true);
    expect(problemsOf(target, image).map(({ message }) => message)).toEqual([
      "Table 'offset', break points of Load at 0x40000: found 100, 50; expected rising numbers. The file is for another layout, or damaged.",
      "Table 'offset', all, number 2 at 0x4000D: found NaN, expected a number. The file is damaged, or for another layout.",
    ]);
  });

  it('takes break points of a fixed axis from the layout and refuses an image that has others', () => {
    const axis = { quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 33.3], editable: false } as const;
    const whole = imageLayout([aTable({ axes: [axis] })]);
    const storage = { type: 'u8', resolution: 1, offset: 0 } as const;
    const stored = { tableId: 'offset', axis: 0, address: whole.image.startAddress + whole.image.byteCount, storage };
    const byteCount = whole.image.byteCount + 2;
    const target = { ...whole, image: { ...whole.image, byteCount, axes: [stored] } };
    expect(checkLayout(target, platform)).toEqual([]);
    const image = buildImage(target, platform, defaultContent(target, platform));
    expect(image.bytes.at(-1)).toBe(33);
    expect(readBack(target, image).tables.offset.axes).toEqual([[0, 33.3]]);
    image.bytes[byteCount - 1] = 40;
    expect(problemsOf(target, image)[0].message).toContain('found 0, 40; the layout fixes them as 0, 33.3.');
  });
});
