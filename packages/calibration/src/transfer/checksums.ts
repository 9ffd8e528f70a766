import type { ChecksumKind, StorageType } from '../layout/layout.js';

/** How a checksum lies in the image, in the byte order of the map. */
export const CHECKSUM_STORAGE = {
  crc32: 'u32',
  crc16CcittFalse: 'u16',
  sum8: 'u8',
  sum16: 'u16',
  sum32: 'u32',
} as const satisfies Record<ChecksumKind, StorageType>;

/** The polynomial 0x04C11DB7 of IEEE 802.3 with its bits reversed, for a register that shifts right. */
const CRC32_REVERSED_POLYNOMIAL = 0xedb8_8320;
const CRC16_POLYNOMIAL = 0x1021;

const CRC32_TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ CRC32_REVERSED_POLYNOMIAL : crc >>> 1;
  return crc;
});

const CRC16_TABLE = Uint16Array.from({ length: 256 }, (_, byte) => {
  let crc = byte << 8;
  for (let bit = 0; bit < 8; bit++) crc = crc & 0x8000 ? (crc << 1) ^ CRC16_POLYNOMIAL : crc << 1;
  return crc;
});

/** CRC-32 of IEEE 802.3 (ISO-HDLC): reflected, initial value and final exclusive-or 0xFFFFFFFF. */
export function crc32(bytes: Uint8Array): number {
  let crc = 0xffff_ffff;
  for (let i = 0; i < bytes.length; i++) crc = (crc >>> 8) ^ CRC32_TABLE[(crc ^ bytes[i]) & 0xff];
  return (crc ^ 0xffff_ffff) >>> 0;
}

/** CRC-16 with polynomial 0x1021 and initial value 0xFFFF, not reflected (CCITT-FALSE, IBM-3740). */
export function crc16CcittFalse(bytes: Uint8Array): number {
  let crc = 0xffff;
  for (let i = 0; i < bytes.length; i++) crc = ((crc << 8) & 0xffff) ^ CRC16_TABLE[(crc >> 8) ^ bytes[i]];
  return crc;
}

/** The checksum of some bytes as an unsigned number; a sum is that of the bytes, modulo 2⁸, 2¹⁶ or 2³². */
export function checksumOf(kind: ChecksumKind, bytes: Uint8Array): number {
  switch (kind) {
    case 'crc32':
      return crc32(bytes);
    case 'crc16CcittFalse':
      return crc16CcittFalse(bytes);
    case 'sum8':
      return byteSum(bytes) % 2 ** 8;
    case 'sum16':
      return byteSum(bytes) % 2 ** 16;
    case 'sum32':
      return byteSum(bytes) % 2 ** 32;
    default:
      return kind satisfies never;
  }
}

/** Exact up to 2⁴⁵ bytes. */
function byteSum(bytes: Uint8Array): number {
  let sum = 0;
  for (let i = 0; i < bytes.length; i++) sum += bytes[i];
  return sum;
}
