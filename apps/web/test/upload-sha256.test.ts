import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Sha256 } from '../src/api/upload-sha256.js';

const text = (value: string) => new TextEncoder().encode(value);

describe('SHA-256 in pieces', () => {
  // NIST, "Descriptions of SHA-256, SHA-384 and SHA-512" (FIPS 180-4 examples): one block, two blocks, a million letters.
  it.each([
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
    [
      'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
      '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
    ],
    ['a'.repeat(1_000_000), 'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0'],
  ])('of the published examples is as published', (message, expected) => {
    expect(new Sha256().update(text(message)).hex()).toBe(expected);
  });

  it('of nothing is that of the empty message', () => {
    expect(new Sha256().hex()).toBe('e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855');
  });

  it('is what Node makes of the same bytes, however they are cut', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 700 }), fc.array(fc.nat(700), { maxLength: 6 }), (bytes, cuts) => {
        const sha256 = new Sha256();
        const ends = [...cuts.map((cut) => Math.min(cut, bytes.length)), bytes.length].sort((a, b) => a - b);
        let from = 0;
        for (const end of ends) {
          sha256.update(bytes.subarray(from, end));
          from = end;
        }
        expect(sha256.hex()).toBe(createHash('sha256').update(bytes).digest('hex'));
      }),
    );
  });
});
