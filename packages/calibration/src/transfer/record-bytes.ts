const HEX_DIGITS = Array.from({ length: 256 }, (_, byte) => byte.toString(16).toUpperCase().padStart(2, '0'));

/** The value of a hexadecimal digit by its character code, −1 for any other character below 128. */
const NIBBLES = Int8Array.from({ length: 128 }, (_, code) => {
  const nibble = Number.parseInt(String.fromCharCode(code), 16);
  return Number.isNaN(nibble) ? -1 : nibble;
});

/** Bytes as pairs of upper-case hexadecimal digits. */
export function hexOf(bytes: ArrayLike<number>): string {
  let text = '';
  for (let i = 0; i < bytes.length; i++) text += HEX_DIGITS[bytes[i]];
  return text;
}

/** The bytes that pairs of hexadecimal digits stand for, or what is wrong with the digits. */
export function bytesOfHex(digits: string): Uint8Array | 'otherCharacters' | 'oddDigit' {
  const bytes = new Uint8Array(digits.length >> 1);
  let rest = 0;
  for (let i = 0; i < digits.length; i++) {
    const nibble = NIBBLES[digits.charCodeAt(i)] ?? -1;
    if (nibble < 0) return 'otherCharacters';
    if (i % 2 === 1) bytes[i >> 1] = rest * 16 + nibble;
    rest = nibble;
  }
  return digits.length % 2 === 0 ? bytes : 'oddDigit';
}

/** A number as bytes, the most significant first. */
export function bigEndian(value: number, byteCount: number): number[] {
  return Array.from({ length: byteCount }, (_, i) => Math.floor(value / 2 ** (8 * (byteCount - 1 - i))) % 256);
}

/** The unsigned number that bytes stand for, the most significant first; at most 6 bytes. */
export function numberOf(bytes: Uint8Array): number {
  return bytes.reduce((value, byte) => value * 256 + byte, 0);
}

/** The sum of bytes modulo 256. */
export function sum8(bytes: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < bytes.length; i++) sum = (sum + bytes[i]) & 0xff;
  return sum;
}

/** The lines of a text, whatever ends them. */
export function linesOf(text: string): string[] {
  return text.split(/\r\n|\n|\r/);
}
