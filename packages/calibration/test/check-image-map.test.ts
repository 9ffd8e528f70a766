import { describe, expect, it } from 'vitest';
import { checkLayout, type ImageMap, type Layout } from '../src/index.js';
import { aTable, layout as example, platform } from './example.js';

const axis = { quantity: 'pedal', title: 'Pedal', unit: '%', breakpoints: [0, 50, 100], editable: true } as const;
const storage = { type: 'u8', resolution: 0.5, offset: 0 } as const;

/** Three tables: 2 variants × 3 cells × 2 bytes, 1 × 1 × 4 bytes, and 3 variants × 3 cells × 1 byte. */
const tables = [
  aTable({
    id: 'up',
    repeat: 'upshift',
    axes: [axis],
    storage: { type: 'u16', resolution: 1, offset: 0 },
    limits: { min: 0, max: 100 },
  }),
  aTable({ id: 'gain', storage: { type: 'f32', resolution: 1, offset: 0 } }),
  aTable({
    id: 'fill',
    repeat: 'clutch',
    axes: [{ ...axis, editable: false }],
    storage: { type: 's8', resolution: 2, offset: 0 },
  }),
];
const image: ImageMap = {
  startAddress: 0x1000,
  byteCount: 36,
  fill: 0xff,
  byteOrder: 'big',
  tables: [
    { tableId: 'up', address: 0x1000 },
    { tableId: 'gain', address: 0x100c },
    { tableId: 'fill', address: 0x1010 },
  ],
  axes: [{ tableId: 'up', axis: 0, address: 0x1019, storage }],
  checksums: [
    { kind: 'crc32', from: 0x1000, to: 0x101c, address: 0x101c },
    { kind: 'crc16CcittFalse', from: 0x1000, to: 0x1020, address: 0x1020 },
    { kind: 'sum8', from: 0x101c, to: 0x1022, address: 0x1022 },
    { kind: 'sum8', from: 0x1020, to: 0x1022, address: 0x1023 },
  ],
};

function check(parts: Partial<ImageMap>): unknown[][] {
  const layout: Layout = { ...example, tables, rules: [], image: { ...image, ...parts } };
  return checkLayout(layout, platform).map((entry) => [entry.code, entry.severity, entry.tableId, entry.message]);
}

describe('the check of an image map', () => {
  it('finds nothing where everything has its place, to the last byte', () => {
    expect(check({})).toEqual([]);
  });

  it.each<[string, Partial<ImageMap>, string, string | null, string]>([
    [
      'no bytes',
      { byteCount: 0 },
      'imageBlock',
      null,
      'The image has 0 bytes from address 0x1000. State at least one byte, whole numbers, and a block that ends within 32 bits.',
    ],
    [
      'an end beyond 32 bits',
      { startAddress: 0xffff_fff0 },
      'imageBlock',
      null,
      'The image has 36 bytes from address 0xFFFFFFF0. State at least one byte, whole numbers, and a block that ends within 32 bits.',
    ],
    [
      'a fill value that is no byte',
      { fill: 256 },
      'imageBlock',
      null,
      'The image is filled with 256, expected a whole number from 0 to 255. Choose the value of an empty byte.',
    ],
    [
      'a table without a place',
      { tables: image.tables.slice(0, 2) },
      'imageTable',
      'fill',
      "The image has no place for table 'fill', so its values would not reach the control unit. Give it an address.",
    ],
    [
      'a table that the layout does not have',
      { tables: [...image.tables, { tableId: 'vent', address: 0x1000 }] },
      'imageTable',
      null,
      "The image places table 'vent', which the layout does not have. Remove it or mend its name.",
    ],
    [
      'an axis that may be moved and has no place',
      { axes: [] },
      'imageAxis',
      'up',
      "The image has no place for axis 1 of table 'up' ('Pedal'), whose break points a revision may move. Give it an address or fix the axis.",
    ],
    [
      'an axis that the table does not have',
      { axes: [...image.axes, { tableId: 'gain', axis: 0, address: 0x1000, storage }] },
      'imageAxis',
      null,
      "The image places axis 1 of table 'gain', which the layout does not have. Remove it or mend it.",
    ],
    [
      'an axis stored without steps',
      { axes: [{ ...image.axes[0], storage: { ...storage, resolution: 0 } }] },
      'resolution',
      'up',
      "The image stores axis 1 of table 'up' with resolution 0 and offset 0; both must be finite and the resolution above 0.",
    ],
    [
      'a table that reaches over the end of the image',
      { byteCount: 35 },
      'imageOutside',
      null,
      'Checksum sum8 at 0x1023: found bytes 0x1023 to 0x1023, the image has 0x1000 to 0x1022. Move it or widen the image.',
    ],
    [
      'tables that overlap by one byte',
      { tables: [image.tables[0], { tableId: 'gain', address: 0x100b }, image.tables[2]] },
      'imageOverlap',
      'gain',
      "Table 'gain', all: found address 0x100B, which belongs to table 'up', 2-3 up to 0x100B. Move one of the two.",
    ],
    [
      'break points in the place of values',
      { axes: [{ ...image.axes[0], address: 0x1018 }] },
      'imageOverlap',
      'up',
      "Table 'up', break points of Pedal: found address 0x1018, which belongs to table 'fill', C up to 0x1018. Move one of the two.",
    ],
    [
      'a checksum over its own place',
      { checksums: [{ ...image.checksums[0], to: 0x101d }] },
      'imageChecksum',
      null,
      'Checksum crc32 at 0x101C runs over its own place, so it would not hold for the finished image. Leave that place out or reorder.',
    ],
    [
      'a checksum over one that is reckoned later',
      { checksums: [image.checksums[1], image.checksums[0]] },
      'imageChecksum',
      null,
      'Checksum crc16CcittFalse at 0x1020 runs over the place of checksum crc32 at 0x101C, reckoned later, so it would not hold for the finished image. Leave that place out or reorder.',
    ],
    [
      'a checksum over nothing',
      { checksums: [{ ...image.checksums[0], to: 0x1000 }] },
      'imageChecksum',
      null,
      'Checksum crc32 at 0x101C runs over 0x1000 to 0xFFF, expected bytes within 0x1000 to 0x1023. Mend its range.',
    ],
    [
      'a checksum over bytes before the image',
      { checksums: [{ ...image.checksums[0], from: 0xfff }] },
      'imageChecksum',
      null,
      'Checksum crc32 at 0x101C runs over 0xFFF to 0x101B, expected bytes within 0x1000 to 0x1023. Mend its range.',
    ],
  ])('finds %s', (_, parts, code, tableId, message) => {
    expect(check(parts)).toEqual([[code, 'blocking', tableId, message]]);
  });

  it('finds what is placed twice, and that the two places overlap', () => {
    const codes = check({ tables: [...image.tables, image.tables[1]], axes: [...image.axes, image.axes[0]] });
    expect(codes.map(([code, , , message]) => [code, message])).toEqual([
      ['imageTable', "The image places table 'gain' more than once. Place it once."],
      ['imageAxis', "The image places axis 1 of table 'up' more than once. Place it once."],
      [
        'imageOverlap',
        "Table 'gain', all: found address 0x100C, which belongs to table 'gain', all up to 0x100F. Move one of the two.",
      ],
      [
        'imageOverlap',
        "Table 'up', break points of Pedal: found address 0x1019, which belongs to table 'up', break points of Pedal up to 0x101B. Move one of the two.",
      ],
    ]);
  });

  it('finds every region that lies under one long region', () => {
    const long = aTable({
      id: 'long',
      repeat: 'gear',
      axes: [axis],
      storage: { type: 'u32', resolution: 1, offset: 0 },
      limits: { min: 0, max: 9 },
    });
    const small = [1, 2].map((i) => aTable({ id: `small${i}`, storage: { type: 's16', resolution: 1, offset: 0 } }));
    const layout: Layout = {
      ...example,
      tables: [{ ...long, axes: [{ ...axis, editable: false }] }, ...small],
      rules: [],
      image: {
        ...image,
        byteCount: 64,
        tables: [
          { tableId: 'small2', address: 0x1014 },
          { tableId: 'long', address: 0x1000 },
          { tableId: 'small1', address: 0x1004 },
        ],
        axes: [],
        checksums: [],
      },
    };
    const found = checkLayout(layout, platform).map((entry) => [entry.tableId, entry.found, entry.bound]);
    expect(found).toContainEqual(['small1', '0x1004', '0x100C']);
    expect(found).toContainEqual(['small2', '0x1014', '0x1018']);
  });
});
