import { describe, expect, it } from 'vitest';
import { readSRecord } from '../../src/index.js';
import { hasReference, readReference } from '../reference.ts';

const END = 'S9030000FC';

function read(lines: readonly string[], window = { startAddress: 0, byteCount: 0x1_0000 }) {
  return readSRecord(lines.join('\r\n'), window, 0xff);
}

function problemsOf(lines: readonly string[], window?: { startAddress: number; byteCount: number }): string[] {
  const result = read(lines, window);
  return result.kind === 'refused' ? result.problems.map(({ message }) => message) : [];
}

describe('readSRecord', () => {
  // Published records: shared/reference/check-values.md 12.1 (M68000 Family Programmer's Reference Manual and others).
  it.each([
    [['S00600004844521B', 'S1130000285F245F2212226A000424290008237C2A', END], 0, 0x28, 0x7c],
    [['S107FEDC210080CFAE', 'S9030000FC'], 0xfedc, 0x21, 0xcf],
    [['S10F000000001000000000084EFAFFFE93', 'S5030001FB', 'S9030008F4'], 0, 0x00, 0xfe],
    [['S107003000144ED492', 'S9030000FC'], 0x30, 0x00, 0xd4],
  ])('reads the published records %j', (lines, address, first, last) => {
    const result = read(lines);
    if (result.kind === 'refused') throw new Error(result.problems[0].message);
    const present = [...result.memory.bytes.keys()].filter(result.memory.isPresent);
    expect(present[0]).toBe(address);
    expect(result.memory.bytes[address]).toBe(first);
    expect(result.memory.bytes[present.at(-1) ?? 0]).toBe(last);
  });

  it.each([
    ['a header without room for an address', ['S008763330627567736D', 'S10400FFAA52', END]],
    ['a count in place of an end record', ['S10400FFAA52', 'S5030001FB']],
    ['a count of three bytes', ['S10400FFAA52', 'S604000001FA', END]],
    ['data records of different width', ['S10400FFAA52', 'S2050000FFAA51', 'S306000000FFAA50', END]],
    ['an end record of another width', ['S10400FFAA52', 'S70500000000FA']],
  ])('takes %s', (_, lines) => {
    const result = read(lines, { startAddress: 0xff, byteCount: 1 });
    expect(result.kind === 'read' && [...result.memory.bytes]).toEqual([0xaa]);
  });

  it.each([
    [
      'a bad checksum',
      ['S10400FFAA53', END],
      'Line 1: found checksum 53, expected 52. The record is damaged; fetch the file again.',
    ],
    [
      'a truncated record',
      ['S11300FFAA52', END],
      'Line 1: the record is truncated: found 5 bytes, expected 20. Fetch the file again.',
    ],
    [
      'a record that is too long',
      ['S10400FFAA5200', END],
      'Line 1: the record is too long: found 6 bytes, expected 5. Fetch the file again.',
    ],
    [
      'an odd digit',
      ['S10400FFAA5', END],
      'Line 1: the record has an odd digit; it is cut off or damaged. Fetch the file again.',
    ],
    [
      'other characters',
      ['S10400FFAAX2', END],
      'Line 1: the record has other characters than hexadecimal digits; it is cut off or damaged. Fetch the file again.',
    ],
    [
      'the reserved type',
      ['S4030000FC', END],
      "Line 1: record type 'S4' is unknown; S-records have S0 to S3 and S5 to S9.",
    ],
    ['nothing but the mark', ['S', END], "Line 1: record type 'S' is unknown; S-records have S0 to S3 and S5 to S9."],
    [
      'a data record without room for its address',
      ['S10200FD', END],
      'Line 1: S1 states 2 bytes, expected at least 3. Fetch the file again.',
    ],
    ['an end record with data', ['S90400000AF1'], 'Line 1: S9 states 4 bytes, expected 3. Fetch the file again.'],
    [
      'a line that is no record',
      ['Q10400FFAA52', END],
      "Line 1: found 'Q10400FFAA52', expected a record that begins with 'S'. Remove what is no record.",
    ],
    [
      'a missing end record',
      ['S10400FFAA52'],
      'The end record (S7, S8 or S9) is missing: the file is cut off. Fetch it again.',
    ],
    [
      'a wrong count',
      ['S10400FFAA52', 'S5030002FA', END],
      'Line 2: S5 counts 2 data records, found 1. Records were lost or added; fetch the file again.',
    ],
    [
      'records after the end',
      [END, 'S10400FFAA52'],
      'Line 2: records follow the end record of line 1. Keep one file of the two.',
    ],
    [
      'data that contradict',
      ['S10400FFAA52', 'S10400FFAB51', END],
      'Line 2: 0x00FF is given as AB, but line 1 gave AA. Remove the wrong one.',
    ],
    [
      'data outside the map',
      ['S306000100000AEE', END],
      'Line 1: its data lie at 0x10000, outside the image map (0x0000 to 0xFFFF). Choose the file of this platform and layout, and cut away what lies outside.',
    ],
  ])('names the line of %s', (_, lines, message) => {
    const found = problemsOf(lines);
    expect(found[0]).toBe(message);
    expect(found.slice(1).every((other) => other.includes('missing'))).toBe(true);
  });

  it('stops at fifty problems', () => {
    expect(problemsOf(Array.from({ length: 200 }, () => 'S10400FFAA53'))).toHaveLength(50);
  });
});

describe.runIf(hasReference)('readSRecord against the second source', () => {
  it('reads its files as stated', () => {
    const { image, srec_classic } = readReference<{
      image: { base_address: string; bytes_hex: string; motorola_srec: string[] };
      srec_classic: { lines: string[] };
    }>('second-source/formats.json');
    const bytes = new Uint8Array(Buffer.from(image.bytes_hex, 'hex'));
    const one = read(image.motorola_srec, { startAddress: Number(image.base_address), byteCount: bytes.length });
    expect(one.kind === 'read' && one.memory.bytes).toEqual(bytes);
    expect(problemsOf(srec_classic.lines, { startAddress: 0, byteCount: 0x46 })).toEqual([]);
  });
});
