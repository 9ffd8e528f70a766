import type { StorageType, TableSpec } from './layout.js';

/** The whole numbers that a storage type can hold; for `f32` the finite range of IEEE 754 binary32. */
export const STORAGE_RANGES: Readonly<Record<StorageType, { readonly min: number; readonly max: number }>> = {
  u8: { min: 0, max: 0xff },
  s8: { min: -0x80, max: 0x7f },
  u16: { min: 0, max: 0xffff },
  s16: { min: -0x8000, max: 0x7fff },
  u32: { min: 0, max: 0xffff_ffff },
  s32: { min: -0x8000_0000, max: 0x7fff_ffff },
  f32: { min: -3.4028234663852886e38, max: 3.4028234663852886e38 },
};

/** The number that a control unit keeps for a value: (value − offset) / resolution, to the nearest step (half upwards). */
export function rawOf(storage: TableSpec['storage'], value: number): number {
  const exact = (value - storage.offset) / storage.resolution;
  return storage.type === 'f32' ? Math.fround(exact) : Math.round(exact);
}

/** The value that a kept number stands for: offset + raw · resolution. */
export function valueOf(storage: TableSpec['storage'], raw: number): number {
  return storage.offset + raw * storage.resolution;
}

/** The values at the ends of what a table's storage can hold. A resolution below 0 is not allowed, so min < max. */
export function storableRange(storage: TableSpec['storage']): { min: number; max: number } {
  const raw = STORAGE_RANGES[storage.type];
  return { min: valueOf(storage, raw.min), max: valueOf(storage, raw.max) };
}

/**
 * How far the kept value is from the wanted one; 0 when only the rounding of decimal fractions parts them
 * (a millionth of a step), and for `f32`, whose rounding is below any measurement.
 */
export function storageLoss(storage: TableSpec['storage'], value: number): number {
  if (storage.type === 'f32') return 0;
  const loss = Math.abs(valueOf(storage, rawOf(storage, value)) - value);
  const rounding = 1e-6 * storage.resolution + 4 * Number.EPSILON * (Math.abs(value) + Math.abs(storage.offset));
  return loss <= rounding ? 0 : loss;
}
