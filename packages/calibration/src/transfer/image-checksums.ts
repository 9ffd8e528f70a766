import type { ImageChecksum, ImageMap } from '../layout/layout.js';
import { CHECKSUM_STORAGE, checksumOf } from './checksums.js';
import { readRaw, writeRaw } from './raw-number.js';

/** A checksum of the image map with the value that lies in the image and the one that belongs there. */
export interface CheckedChecksum {
  readonly checksum: ImageChecksum;
  readonly found: number;
  readonly expected: number;
}

/** Puts the map's checksums into an image that has all else in place, in the order of the map. */
export function writeChecksums(map: ImageMap, bytes: Uint8Array): void {
  for (const checksum of map.checksums) {
    writeChecksum(map, bytes, checksum, checksumOf(checksum.kind, coveredBytes(map, bytes, checksum)));
  }
}

/** Each checksum of the map as it lies in an image, and as its bytes would have it. */
export function checkChecksums(map: ImageMap, bytes: Uint8Array): CheckedChecksum[] {
  return map.checksums.map((checksum) => ({
    checksum,
    found: readChecksum(map, bytes, checksum),
    expected: checksumOf(checksum.kind, coveredBytes(map, bytes, checksum)),
  }));
}

function coveredBytes(map: ImageMap, bytes: Uint8Array, { from, to }: ImageChecksum): Uint8Array {
  return bytes.subarray(from - map.startAddress, to - map.startAddress);
}

function writeChecksum(map: ImageMap, bytes: Uint8Array, { kind, address }: ImageChecksum, value: number): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  writeRaw(view, address - map.startAddress, CHECKSUM_STORAGE[kind], value, map.byteOrder);
}

function readChecksum(map: ImageMap, bytes: Uint8Array, { kind, address }: ImageChecksum): number {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return readRaw(view, address - map.startAddress, CHECKSUM_STORAGE[kind], map.byteOrder);
}
