import { describe, expect, it } from 'vitest';
import { readIntelHex } from '../../src/index.js';
import { hasReference, readReference } from '../reference.ts';

const END = ':00000001FF';

function read(lines: readonly string[], window = { startAddress: 0, byteCount: 0x1_0000 }) {
  return readIntelHex(lines.join('\n'), window, 0xff);
}

function problemsOf(lines: readonly string[], window?: { startAddress: number; byteCount: number }): string[] {
  const result = read(lines, window);
  return result.kind === 'refused' ? result.problems.map(({ message }) => message) : [];
}

describe('readIntelHex', () => {
  // Published records: shared/reference/check-values.md 12.1 (a magazine article, compiler and monitor manuals).
  it.each([
    [':04FEDC00210080CFB2', 0xfedc, [0x21, 0x00, 0x80, 0xcf]],
    [':10246200464C5549442050524F46494C4500464C33', 0x2462, [...new TextEncoder().encode('FLUID PROFILE\0FL')]],
    [':040100003C58E01B6C', 0x100, [0x3c, 0x58, 0xe0, 0x1b]],
    [':04003000902BB4FD60', 0x30, [0x90, 0x2b, 0xb4, 0xfd]],
  ])('reads the published record %s', (record, address, data) => {
    const result = read([record, END]);
    if (result.kind === 'refused') throw new Error(result.problems[0].message);
    expect([...result.memory.bytes.subarray(address, address + data.length)]).toEqual(data);
    expect(result.memory.isPresent(address)).toBe(true);
    expect(result.memory.isPresent(address + data.length)).toBe(false);
  });

  // Intel, Hexadecimal Object File Format Specification, revision A, 1988: types 02 to 05.
  it.each([
    ['a linear address', ':020000040800F2', 0x0800_0100],
    ['a segment address', ':020000021000EC', 0x1_0100],
    ['no address record', '', 0x100],
  ])('counts offsets from %s', (_, record, address) => {
    const result = read([record, ':01010000AA54', ':0400000500000100F6', ':0400000300003800C1', END], {
      startAddress: address,
      byteCount: 1,
    });
    expect(result.kind === 'read' && [...result.memory.bytes]).toEqual([0xaa]);
  });

  it('lets linear data run over a 64 KiB boundary, as the specification reckons modulo 4 GiB', () => {
    const result = read([':04FFFE0001020304F5', END], { startAddress: 0xfffe, byteCount: 4 });
    expect(result.kind === 'read' && [...result.memory.bytes]).toEqual([1, 2, 3, 4]);
  });

  it('takes data that are given twice alike', () => {
    expect(problemsOf([':01010000AA54', ':01010000AA54', END])).toEqual([]);
  });

  it.each([
    [
      'a bad checksum',
      [':01010000AA55', END],
      'Line 1: found checksum 55, expected 54. The record is damaged; fetch the file again.',
    ],
    [
      'a truncated record',
      [':10010000AA', END],
      'Line 1: the record is truncated: found 5 bytes, expected 21. Fetch the file again.',
    ],
    [
      'an odd digit',
      [':01010000AA5', END],
      'Line 1: the record has an odd digit; it is cut off or damaged. Fetch the file again.',
    ],
    [
      'other characters',
      [':01010000AAG4', END],
      'Line 1: the record has other characters than hexadecimal digits; it is cut off or damaged. Fetch the file again.',
    ],
    [
      'a record that is too long',
      [':01010000AABB99', END],
      'Line 1: the record is too long: found 7 bytes, expected 6. Fetch the file again.',
    ],
    [
      'nothing but the mark',
      [':', END],
      'Line 1: the record is truncated: found 0 bytes, expected 5. Fetch the file again.',
    ],
    ['an unknown type', [':00000006FA', END], 'Line 1: record type 06 is unknown; Intel HEX has 00 to 05.'],
    [
      'an address record of the wrong length',
      [':0100000408F3', END],
      'Line 1: a record of type 04 has 2 data bytes, found 1. Fetch the file again.',
    ],
    [
      'a line that is no record',
      [END.slice(1), END],
      "Line 1: found '00000001FF', expected a record that begins with ':'. Remove what is no record.",
    ],
    [
      'a missing end record',
      [':01010000AA54'],
      "The end record ':00000001FF' is missing: the file is cut off. Fetch it again.",
    ],
    [
      'data after the end',
      [END, '', ':01010000AA54'],
      'Line 3: data follow the end record of line 1. Keep one file of the two.',
    ],
    [
      'data that contradict',
      [':01010000AA54', '', ':01010000AB53', END],
      'Line 3: 0x0100 is given as AB, but line 1 gave AA. Remove the wrong one.',
    ],
    [
      'segment and linear addresses at once',
      [':020000040800F2', ':020000021000EC', END],
      'Line 2: it mixes segment (02) and linear (04) addresses, which tools read differently. Use one kind.',
    ],
    [
      'data over the end of a segment',
      [':020000021000EC', ':02FFFF000102FD', END],
      'Line 2: its data run over the end of their segment, where tools disagree. Write it with linear addresses.',
    ],
  ])('names the line of %s', (_, lines, message) => {
    expect(problemsOf(lines)).toEqual([message]);
  });

  it('names line and addresses of data outside the image map', () => {
    const result = read([':01010000AA54', ':020200000102F9', END], { startAddress: 0x100, byteCount: 0x101 });
    expect(result).toEqual({
      kind: 'refused',
      problems: [
        {
          line: 2,
          address: 0x200,
          tableId: null,
          variant: null,
          message:
            'Line 2: its data lie at 0x0200 to 0x0201, outside the image map (0x0100 to 0x0200). ' +
            'Choose the file of this platform and layout, and cut away what lies outside.',
        },
      ],
    });
  });

  it('says nothing of the place of data behind an address record that cannot be read', () => {
    expect(problemsOf([':020000040800F3', ':01010000AA54', END], { startAddress: 0x100, byteCount: 1 })).toEqual([
      'Line 1: found checksum F3, expected F2. The record is damaged; fetch the file again.',
    ]);
  });

  it('stops at fifty problems', () => {
    expect(problemsOf(Array.from({ length: 200 }, () => ':01010000AA55'))).toHaveLength(50);
  });
});

describe.runIf(hasReference)('readIntelHex against the second source', () => {
  it('reads its files as stated', () => {
    const { image, intel_hex_two_segments } = readReference<{
      image: { base_address: string; bytes_hex: string; intel_hex: string[] };
      intel_hex_two_segments: { lines: string[] };
    }>('second-source/formats.json');
    const bytes = new Uint8Array(Buffer.from(image.bytes_hex, 'hex'));
    const one = read(image.intel_hex, { startAddress: Number(image.base_address), byteCount: bytes.length });
    expect(one.kind === 'read' && one.memory.bytes).toEqual(bytes);
    const two = read(intel_hex_two_segments.lines, { startAddress: 0x1000, byteCount: 0x1_f008 });
    if (two.kind === 'refused') throw new Error(two.problems[0].message);
    expect([...two.memory.bytes.subarray(0, 9)]).toEqual([...Array<number>(8).fill(0xa5), 0xff]);
    const twice = [1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 6, 7, 8];
    expect([...two.memory.bytes.subarray(0x1_eff8, 0x1_f008)]).toEqual(twice);
  });
});
