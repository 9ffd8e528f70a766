import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { csvFileName, toCsv } from '../src/format/csv.js';

const column = { header: 'value (rpm)', cell: (value: string | number | null) => value };

describe('CSV', () => {
  it('keeps numbers in full precision and leaves missing values empty', () => {
    expect(toCsv([column], [0.1 + 0.2, null, Number.NaN, -3])).toBe(
      'value (rpm)\r\n0.30000000000000004\r\n\r\n\r\n-3\r\n',
    );
  });

  it.each(['=1+1', '+1', '-1', '@x', '\tx'])('text that a spreadsheet would run (%j) gets an apostrophe', (text) => {
    expect(toCsv([column], [text])).toBe(`value (rpm)\r\n'${text}\r\n`);
  });

  it('quotes by RFC 4180, so that any text comes back', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        const body = toCsv([column], [`x${text}`]).slice('value (rpm)\r\n'.length, -2);
        const back = body.startsWith('"') ? body.slice(1, -1).replaceAll('""', '"') : body;
        expect(back).toBe(`x${text}`);
      }),
    );
  });

  it('names the filters in the file name', () => {
    expect(csvFileName('shifts', '2-3', undefined, 'Thrift van 2.0')).toBe('syncline-shifts-2-3-Thrift-van-2.0.csv');
  });
});
