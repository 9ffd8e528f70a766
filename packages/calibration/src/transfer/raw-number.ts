import type { ImageByteOrder, StorageType } from '../layout/layout.js';

export const STORAGE_BYTES: Readonly<Record<StorageType, number>> = {
  u8: 1,
  s8: 1,
  u16: 2,
  s16: 2,
  u32: 4,
  s32: 4,
  f32: 4,
};

/** Puts a kept number into memory at a byte offset. */
export function writeRaw(view: DataView, at: number, type: StorageType, raw: number, order: ImageByteOrder): void {
  const little = order === 'little';
  switch (type) {
    case 'u8':
      return view.setUint8(at, raw);
    case 's8':
      return view.setInt8(at, raw);
    case 'u16':
      return view.setUint16(at, raw, little);
    case 's16':
      return view.setInt16(at, raw, little);
    case 'u32':
      return view.setUint32(at, raw, little);
    case 's32':
      return view.setInt32(at, raw, little);
    case 'f32':
      return view.setFloat32(at, raw, little);
    default:
      return type satisfies never;
  }
}

/** The number that lies in memory at a byte offset; for `f32` it may be NaN or infinite. */
export function readRaw(view: DataView, at: number, type: StorageType, order: ImageByteOrder): number {
  const little = order === 'little';
  switch (type) {
    case 'u8':
      return view.getUint8(at);
    case 's8':
      return view.getInt8(at);
    case 'u16':
      return view.getUint16(at, little);
    case 's16':
      return view.getInt16(at, little);
    case 'u32':
      return view.getUint32(at, little);
    case 's32':
      return view.getInt32(at, little);
    case 'f32':
      return view.getFloat32(at, little);
    default:
      return type satisfies never;
  }
}
