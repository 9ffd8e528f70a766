import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Delimiter, readRows, writeRow } from '../../src/transfer/delimited-text.ts';
import { ProblemList } from '../../src/transfer/transfer-problem.ts';
import { hasReference, readReference } from '../reference.ts';

function read(text: string, delimiter: Delimiter = ',') {
  const problems = new ProblemList();
  const rows = [...readRows(text, delimiter, problems)];
  return { rows, cells: rows.map((row) => row.cells), problems: problems.refusal().problems };
}

describe('readRows', () => {
  // RFC 4180 section 2, rules 5 to 7.
  it('reads quoted cells with line ends, delimiters and doubled quotation marks', () => {
    expect(read('"aaa","b ""x"" c","d\r\ne"\r\n1,,3\r\n').cells).toEqual([
      ['aaa', 'b "x" c', 'd\r\ne'],
      ['1', '', '3'],
    ]);
  });

  it('counts lines inside quoted cells and leaves out blank and padded rows', () => {
    const { rows } = read('a,,\r\n,,\r\n\r\n"b\nc"\rd,"",e');
    expect(rows).toEqual([
      { line: 1, cells: ['a'] },
      { line: 4, cells: ['b\nc'] },
      { line: 6, cells: ['d', '', 'e'] },
    ]);
  });

  it.each([
    ['a mark that is not closed', 'a\n"b,c\nd', 'Line 2: a quotation mark is opened and never closed.'],
    ['text after a closing mark', '"a" b,c', 'Line 1: text follows a closing quotation mark.'],
  ])('names the line of %s', (_, text, message) => {
    expect(read(text).problems[0].message).toContain(message);
  });

  it('keeps at most a thousand cells of a row', () => {
    expect(read('x,'.repeat(100_000)).cells[0]).toHaveLength(1000);
  });

  it('reads back what writeRow wrote, for any text and delimiter', () => {
    const cell = fc.oneof(fc.string(), fc.constantFrom('"', '\r\n', ';', '\t', ',', '=1+1', '-5', '@x'));
    const rows = fc.array(fc.array(cell, { minLength: 1, maxLength: 5 }), { maxLength: 5 });
    fc.assert(
      fc.property(rows, fc.constantFrom<Delimiter>(',', ';', '\t'), (table, delimiter) => {
        const text = table.map((cells) => writeRow(cells, delimiter)).join('');
        const { cells, problems } = read(text, delimiter);
        const trimmed = table.map((row) => dropLast(row.map((text) => guarded(text)))).filter((row) => row.length > 0);
        expect(problems).toEqual([]);
        expect(cells).toEqual(trimmed);
      }),
    );
  });
});

describe.runIf(hasReference)('readRows against the examples of RFC 4180', () => {
  it('reads each as stated', () => {
    const { rfc4180 } = readReference<{ rfc4180: { text: string; rows: string[][] }[] }>('second-source/formats.json');
    expect(rfc4180.length).toBeGreaterThan(0);
    for (const { text, rows } of rfc4180)
      expect(read(text).cells).toEqual(rows.map(dropLast).filter((row) => row.length > 0));
  });
});

/** Text that begins like a formula is written with an apostrophe before it. */
function guarded(text: string): string {
  return /^[=+\-@\t\r]./s.test(text) ? `'${text}` : text;
}

function dropLast(cells: readonly string[]): string[] {
  const kept = [...cells];
  while (kept.at(-1)?.trim() === '') kept.pop();
  return kept;
}
