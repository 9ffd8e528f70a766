import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checksumOf, crc16CcittFalse, crc32 } from '../../src/index.js';
import { hasReference, readReference } from '../reference.ts';

const ascii = (text: string) => new TextEncoder().encode(text);
const allBytes = Uint8Array.from({ length: 256 }, (_, byte) => byte);

describe('checksums', () => {
  // G. Cook, catalogue of parametrised CRC algorithms (CRC-32/ISO-HDLC, CRC-16/IBM-3740); the columns after the first
  // from a bitwise model of its parameters: shared/reference/check-values.md 12.2.
  it.each([
    ['"123456789"', ascii('123456789'), 0xcbf4_3926, 0x29b1],
    ['nothing', new Uint8Array(), 0x0000_0000, 0xffff],
    ['one byte 00', new Uint8Array(1), 0xd202_ef8d, 0xe1f0],
    ['32 bytes 00', new Uint8Array(32), 0x190a_55ad, 0xf14c],
    ['4 bytes FF', new Uint8Array(4).fill(0xff), 0xffff_ffff, 0x1d0f],
    ['the bytes 00 to FF', allBytes, 0x2905_8c73, 0x3fbd],
  ])('of %s are the published CRC-32 and CRC-16/CCITT-FALSE', (_, bytes, expected32, expected16) => {
    expect(crc32(bytes)).toBe(expected32);
    expect(crc16CcittFalse(bytes)).toBe(expected16);
    expect(checksumOf('crc32', bytes)).toBe(expected32);
    expect(checksumOf('crc16CcittFalse', bytes)).toBe(expected16);
  });

  it('have the residue of their kind over a message with its own CRC behind it, so no bit error of one byte hides', () => {
    // Residues of the catalogue: CRC-32/ISO-HDLC debb20e3 before the final exclusive-or, CRC-16/IBM-3740 0000.
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), (message) => {
        const with32 = new Uint8Array([...message, ...littleEndian(crc32(message))]);
        expect((crc32(with32) ^ 0xffff_ffff) >>> 0).toBe(0xdebb_20e3);
        const crc16 = crc16CcittFalse(message);
        expect(crc16CcittFalse(new Uint8Array([...message, crc16 >> 8, crc16 & 0xff]))).toBe(0);
      }),
    );
  });

  it.each([
    ['sum8', allBytes, ((255 * 256) / 2) % 256],
    ['sum16', allBytes, (255 * 256) / 2],
    ['sum16', new Uint8Array(300).fill(255), (300 * 255) % 65_536],
    ['sum32', new Uint8Array(300).fill(255), 300 * 255],
  ] as const)('of kind %s add the bytes', (kind, bytes, expected) => {
    expect(checksumOf(kind, bytes)).toBe(expected);
  });
});

describe.runIf(hasReference)('checksums against the second source', () => {
  it('equal those of its table of check values', () => {
    const { crc_check_123456789, image } = readReference<{
      crc_check_123456789: Record<string, string>;
      image: { bytes_hex: string; crc32_iso_hdlc: string };
    }>('second-source/formats.json');
    expect(crc32(ascii('123456789'))).toBe(Number.parseInt(crc_check_123456789['CRC-32/ISO-HDLC'], 16));
    expect(crc16CcittFalse(ascii('123456789'))).toBe(Number.parseInt(crc_check_123456789['CRC-16/IBM-3740'], 16));
    expect(crc32(Buffer.from(image.bytes_hex, 'hex'))).toBe(Number.parseInt(image.crc32_iso_hdlc, 16));
  });
});

function littleEndian(value: number): number[] {
  return [0, 8, 16, 24].map((shift) => (value >>> shift) & 0xff);
}
