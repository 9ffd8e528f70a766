import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { canonicalJson, sha256Hex } from '../src/index.js';
import { hasReference, readReference } from './reference.js';

describe('canonicalJson', () => {
  // RFC 8785 appendix B, by IEEE 754 bits.
  it.each([
    ['8000000000000000', '0'],
    ['0000000000000001', '5e-324'],
    ['ffefffffffffffff', '-1.7976931348623157e+308'],
    ['444b1ae4d6e2ef4f', '999999999999999900000'],
    ['444b1ae4d6e2ef50', '1e+21'],
    ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
    ['3eb0c6f7a0b5ed8d', '0.000001'],
    ['41b3de4355555555', '333333333.3333333'],
    ['becbf647612f3696', '-0.0000033333333333333333'],
  ])('prints the number %s as %s', (bits, text) => {
    expect(canonicalJson(fromBits(bits))).toBe(text);
  });

  it('writes the object example of RFC 8785 3.2.2, with its hash', () => {
    const value: unknown = JSON.parse(
      '{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],' +
        '"string": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/","literals": [null, true, false]}',
    );
    const text = canonicalJson(value);
    expect(text).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],' +
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
    // shared/reference/check-values.md 12.4.
    expect(sha256Hex(text)).toBe('2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb');
  });

  it('sorts keys by UTF-16 code units as in RFC 8785 3.2.3', () => {
    const keys = ['\u20ac', '\r', '\ufb33', '1', '\ud83d\ude00', '\u0080', '\u00f6'];
    const sorted = Object.keys(
      JSON.parse(canonicalJson(Object.fromEntries(keys.map((key) => [`k${key}`, 0])))) as object,
    );
    expect(sorted).toEqual(['\r', '1', '\u0080', '\u00f6', '\u20ac', '\ud83d\ude00', '\ufb33'].map((key) => `k${key}`));
  });

  it.each([
    ['not a number', { tables: [1, Number.NaN] }, 'the number NaN at $.tables.1'],
    ['infinity', [Number.NEGATIVE_INFINITY], 'the number -Infinity at $.0'],
    ['half a character', { note: 'a\ud83d' }, 'text with a lone surrogate at $.note'],
    ['half a character in a key', { '\ude00': 1 }, 'text with a lone surrogate at $'],
    ['undefined', { note: undefined }, 'a value of type undefined at $.note'],
    ['a hole in a list', Object.assign([1], { 2: 3 }), 'a value of type undefined at $.1'],
    ['a big integer', 1n, 'a value of type bigint at $'],
    ['a date', new Date(0), 'an object that is not plain at $'],
    ['typed values', { values: new Float64Array(2) }, 'an object that is not plain at $.values'],
  ])('refuses %s', (_, value, reason) => {
    expect(() => canonicalJson(value)).toThrow(`Canonical JSON cannot hold ${reason}.`);
  });

  it('refuses an object that contains itself instead of running on', () => {
    const loop: Record<string, unknown> = {};
    loop.self = loop;
    expect(() => canonicalJson(loop)).toThrow('nesting deeper than 256');
  });

  it('is plain JSON that reads back as the same value', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 3, stringUnit: 'grapheme' }), (value) => {
        expect(JSON.parse(canonicalJson(value))).toEqual(withoutNegativeZero(value));
      }),
      { numRuns: 50 },
    );
  });

  it('does not depend on the order of keys', () => {
    const entries = fc.uniqueArray(fc.tuple(fc.string({ unit: 'grapheme' }), fc.integer()), {
      selector: ([key]) => key,
    });
    const twoOrders = entries.chain((list) =>
      fc.tuple(fc.constant(list), fc.shuffledSubarray(list, { minLength: list.length })),
    );
    fc.assert(
      fc.property(twoOrders, ([one, other]) => {
        const nested = (list: [string, number][]) => ({ inner: Object.fromEntries(list) });
        expect(canonicalJson(nested(one))).toBe(canonicalJson(nested(other)));
      }),
    );
  });
});

describe('sha256Hex', () => {
  // FIPS 180-4 examples.
  it.each([
    ['', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
    [
      'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
      '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
    ],
  ])('hashes %j as published', (text, hash) => {
    expect(sha256Hex(text)).toBe(hash);
    expect(sha256Hex(new TextEncoder().encode(text))).toBe(hash);
  });
});

interface JcsFixture {
  number_vectors: { ieee754_hex: string; text: string }[];
  not_serialisable: string[];
  object_example: { input: string; output_utf8_hex: string };
  sorting_example: { input: string; output_utf8_hex: string };
}
interface FormatsFixture {
  rfc8785_numbers: { ieee754: string; text: string }[];
  rfc8785_documents: { name: string; input_utf8_hex: string; output_utf8_hex: string; output_sha256: string }[];
}

describe.runIf(hasReference)('canonicalJson against the fixture files of RFC 8785', () => {
  it('prints every number vector and refuses what is not one', () => {
    const { number_vectors, not_serialisable } = readReference<JcsFixture>('jcs.json');
    expect(number_vectors).toHaveLength(24);
    for (const { ieee754_hex, text } of number_vectors) expect(canonicalJson(fromBits(ieee754_hex))).toBe(text);
    for (const bits of not_serialisable) expect(() => canonicalJson(fromBits(bits))).toThrow('cannot hold the number');
    const { rfc8785_numbers } = readReference<FormatsFixture>('second-source/formats.json');
    for (const { ieee754, text } of rfc8785_numbers) expect(canonicalJson(fromBits(ieee754))).toBe(text);
  });

  it('writes both examples of the text byte for byte', () => {
    const { object_example, sorting_example } = readReference<JcsFixture>('jcs.json');
    for (const { input, output_utf8_hex } of [object_example, sorting_example]) {
      expect(Buffer.from(canonicalJson(JSON.parse(input))).toString('hex')).toBe(output_utf8_hex);
    }
  });

  it('writes the six documents of the reference test data byte for byte, with their hashes', () => {
    const { rfc8785_documents } = readReference<FormatsFixture>('second-source/formats.json');
    expect(rfc8785_documents).toHaveLength(6);
    for (const { input_utf8_hex, output_utf8_hex, output_sha256 } of rfc8785_documents) {
      const text = canonicalJson(JSON.parse(Buffer.from(input_utf8_hex, 'hex').toString('utf8')));
      expect(Buffer.from(text).toString('hex')).toBe(output_utf8_hex);
      expect(sha256Hex(text)).toBe(output_sha256);
    }
  });
});

function fromBits(hex: string): number {
  return new DataView(Uint8Array.from(hex.match(/../g) ?? [], (byte) => Number.parseInt(byte, 16)).buffer).getFloat64(
    0,
  );
}

function withoutNegativeZero(value: unknown): unknown {
  return JSON.parse(JSON.stringify(value));
}
