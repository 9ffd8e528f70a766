import { describe, expect, it } from 'vitest';
import { attachment, csvLine, fileNameOf } from '../src/routes/csv.js';

describe('a CSV cell', () => {
  it.each([
    ['plain', 'plain'],
    ['with, comma', '"with, comma"'],
    ['with "quotes"', '"with ""quotes"""'],
    ['two\nlines', '"two\nlines"'],
    ['=SUM(A1)', "'=SUM(A1)"],
    ['-2+3', "'-2+3"],
    [-2.5, '-2.5'],
    [0.1 + 0.2, '0.30000000000000004'],
    [null, ''],
    [Number.NaN, ''],
    [true, 'true'],
  ])('%j is written as %j', (value, text) => {
    expect(csvLine([value])).toBe(`${text}\r\n`);
  });
});

it('a download is named after its filter, without signs that file systems refuse', () => {
  expect(fileNameOf('shifts', { kind: '3-4', vehicle: undefined, program: 'a/b' })).toBe(
    'shifts kind=3-4 program=a_b.csv',
  );
  expect(attachment('a.csv')).toBe(`attachment; filename="a.csv"; filename*=UTF-8''a.csv`);
});
