import fc from 'fast-check';
import type { Layout, RevisionContent, TableSpec } from '../../src/index.js';
import { defaultContent, variantsOf } from '../../src/index.js';
import type { ChecksumKind, ImageByteOrder, ImageMap } from '../../src/layout/layout.ts';
import { aTable, layout, platform } from '../example.ts';

type Storage = TableSpec['storage'];

const BYTES = { u8: 1, s8: 1, u16: 2, s16: 2, u32: 4, s32: 4, f32: 4 } as const;
const CHECKSUM_BYTES: Record<ChecksumKind, number> = { crc32: 4, crc16CcittFalse: 2, sum8: 1, sum16: 2, sum32: 4 };

/** How break points are kept: quarters, so that those of `anAxis` are exact. */
export const AXIS_STORAGE: Storage = { type: 's32', resolution: 0.25, offset: 0 };

/** The tables of the example and one of each storage type that they lack, with offsets and a fraction for decimals. */
export const tables: readonly TableSpec[] = [
  ...layout.tables,
  aTable({
    id: 'lockUpSlip',
    quantity: 'speed',
    unit: 'rpm',
    limits: { min: -16, max: 9 },
    storage: { type: 's8', resolution: 0.1, offset: -3.2 },
  }),
  aTable({
    id: 'odometer',
    quantity: 'distance',
    unit: 'm',
    limits: { min: 5, max: 4e6 },
    storage: { type: 'u32', resolution: 0.001, offset: 5 },
    defaultValue: 5,
  }),
  aTable({ id: 'drift', unit: '', repeat: 'shift', storage: { type: 's32', resolution: 1e-7, offset: 0 } }),
  aTable({ id: 'gain', repeat: 'gear', byProgram: true, storage: { type: 'f32', resolution: 1, offset: 0 } }),
];

/** A layout whose tables lie one behind the other, break points first, with checksums of every kind behind them. */
export function imageLayout(
  specs: readonly TableSpec[] = tables,
  parts: Partial<Pick<ImageMap, 'startAddress' | 'byteOrder' | 'fill'>> = {},
): Layout & { image: ImageMap } {
  const { startAddress = 0x4_0000, byteOrder = 'little' as ImageByteOrder, fill = 0xff } = parts;
  let address = startAddress;
  const place = (byteCount: number) => {
    const at = address;
    // One byte is left free behind each, so that the fill shows.
    address += byteCount + 1;
    return at;
  };
  const axes = specs.flatMap(({ id, axes: all }) =>
    all.flatMap(({ editable, breakpoints }, axis) => {
      if (!editable) return [];
      return [{ tableId: id, axis, address: place(4 * breakpoints.length), storage: AXIS_STORAGE }];
    }),
  );
  const placed = specs.map((spec) => {
    const cells = spec.axes.reduce((count, axis) => count * axis.breakpoints.length, 1);
    const byteCount = cells * variantsOf(spec, platform).length * BYTES[spec.storage.type];
    return { tableId: spec.id, address: place(byteCount) };
  });
  const checksums = (['crc32', 'crc16CcittFalse', 'sum8', 'sum16', 'sum32'] as const).map((kind) => {
    const to = address;
    return { kind, from: startAddress, to, address: place(CHECKSUM_BYTES[kind]) };
  });
  const byteCount = address - startAddress;
  const image = { startAddress, byteCount, fill, byteOrder, tables: placed, axes, checksums };
  return { ...layout, tables: specs, rules: [], image };
}

/** The decimal number `raw` steps from the offset, reckoned in whole numbers of its last decimal. */
export function decimalAt({ resolution, offset }: Storage, raw: number): number {
  const scale = 1e7;
  return (Math.round(offset * scale) + raw * Math.round(resolution * scale)) / scale;
}

const RAW_RANGES = {
  u8: [0, 255],
  s8: [-128, 127],
  u16: [0, 65_535],
  s16: [-32_768, 32_767],
  u32: [0, 4_294_967_295],
  s32: [-2_147_483_648, 2_147_483_647],
} as const;

/** Any value that lies on a storage step, as the decimal number that a person would write. */
export function aStoredValue(storage: Storage): fc.Arbitrary<number> {
  if (storage.type === 'f32') {
    // Six significant digits are always kept by binary32 (IEEE 754-2019 5.12.2: 9 digits round trip, 6 are exact).
    return fc.tuple(fc.integer({ min: -999_999, max: 999_999 }), fc.integer({ min: -9, max: 9 })).map(([m, e]) => {
      return Number(`${m}e${e}`) + 0;
    });
  }
  const [min, max] = RAW_RANGES[storage.type];
  return fc.integer({ min, max }).map((raw) => decimalAt(storage, raw) + 0);
}

/** Any content of a layout's shape, values made by `valueOf` and break points of editable axes in quarters. */
export function contentsOf(
  target: Layout,
  valueOf: (spec: TableSpec) => fc.Arbitrary<number> = (spec) => aStoredValue(spec.storage),
): fc.Arbitrary<RevisionContent> {
  return fc
    .record(Object.fromEntries(target.tables.map((spec) => [spec.id, tableOf(spec, valueOf(spec))])))
    .map((made) => ({ ...defaultContent(target, platform), tables: made }));
}

function tableOf(spec: TableSpec, value: fc.Arbitrary<number>) {
  const axes = spec.axes.map(({ editable, breakpoints }) => {
    if (!editable) return fc.constant([...breakpoints]);
    const { length } = breakpoints;
    return fc
      .uniqueArray(fc.integer({ min: -400, max: 32_000 }), { minLength: length, maxLength: length })
      .map((points) => points.map((point) => point / 4).sort((a, b) => a - b));
  });
  const count = spec.axes.reduce((cells, axis) => cells * axis.breakpoints.length, 1);
  const values = fc.array(value, { minLength: count, maxLength: count });
  const variants = variantsOf(spec, platform).map((variant) => [variant, values] as const);
  return fc.record({ axes: fc.tuple(...axes), values: fc.record(Object.fromEntries(variants)) });
}
