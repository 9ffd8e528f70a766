import { createHmac } from 'node:crypto';

const ALPHABET = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567';

/** What an authenticator app would show for a secret in base32: RFC 6238 over RFC 4226, written out apart from the server. */
export function timeCode(secret: string, nowMs: number): string {
  const counter = Buffer.alloc(8);
  counter.writeBigUInt64BE(BigInt(Math.floor(nowMs / 30_000)));
  const hash = createHmac('sha1', fromBase32(secret)).update(counter).digest();
  const offset = hash[19]! & 0xf;
  return String((hash.readUInt32BE(offset) & 0x7fffffff) % 1e6).padStart(6, '0');
}

/** Bytes of unpadded base32, RFC 4648 section 6. */
function fromBase32(text: string): Buffer {
  const bits = Array.from(text, (letter) => ALPHABET.indexOf(letter).toString(2).padStart(5, '0')).join('');
  return Buffer.from((bits.match(/.{8}/g) ?? []).map((byte) => Number.parseInt(byte, 2)));
}
