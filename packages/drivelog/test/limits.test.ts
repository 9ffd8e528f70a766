import { expect, it } from 'vitest';
import { inspectCsv, MAX_COLUMNS, MAX_DAMAGE_DETAILS, MAX_LINE_BYTES } from '../src/index.js';
import { bytesOf, readLog } from './read-log.js';

const head = 'time,note,turbine,output shaft\n';
const rows = (count: number, from = 0) => Array.from({ length: count }, (_, i) => `${from + i},a,1,2\n`).join('');

it('a line of more than 1 MiB ends the reading with its place', () => {
  const text = `${head}${rows(5)}${'9'.repeat(MAX_LINE_BYTES + 1)}\n${rows(5)}`;
  const position = { line: 7, byteOffset: head.length + 5 * 8 };
  expect(() => readLog(text)).toThrow(expect.objectContaining({ code: 'line_too_long', position }));
});

it('a line just short of 1 MiB is read', () => {
  const text = `${head}${rows(5)}5,${'x'.repeat(MAX_LINE_BYTES - 10)},1,2\n${rows(2, 6)}`;
  expect(readLog(text).timeS).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
});

it('a quoted field of more than 1 MiB costs the line on which it opens', () => {
  const text = `${head}${rows(3)}3,"open,1,2\n${rows(150_000, 4)}`;
  const { findings } = readLog(text);
  expect(findings.sampleCount).toBe(150_003);
  expect(findings.firstDamage).toMatchObject([{ line: 5, column: 'note', reason: 'field_too_long' }]);
});

it('only the first damaged rows are described, all are counted', () => {
  const text = `${head}${rows(50)}${'x,a,1,2\n'.repeat(30)}${rows(10, 50)}`;
  const { findings } = readLog(text);
  expect(findings.damagedRows).toBe(30);
  expect(findings.firstDamage).toHaveLength(MAX_DAMAGE_DETAILS);
});

it('a file that turns out mostly damaged is given up after 1000 rows', () => {
  const text = `${head}${rows(10)}${'x,a,1,2\n'.repeat(2000)}${rows(5000)}`;
  const found = expect.stringContaining('990 damaged of 1000 rows');
  const map = { time: { column: 'time', format: 'seconds' }, signals: [] } as const;
  expect(() => readLog(text, { map })).toThrow(expect.objectContaining({ code: 'mostly_damaged', found }));
});

it(`more than ${MAX_COLUMNS} columns are no drive log`, () => {
  const names = Array.from({ length: MAX_COLUMNS + 1 }, (_, i) => `n${i}x`);
  const text = `${names.join(',')}\n${names.map(() => 1).join(',')}\n`;
  expect(() => inspectCsv(bytesOf(text))).toThrow(expect.objectContaining({ code: 'too_many_columns' }));
});

it('a long damaged text is shortened', () => {
  const { findings } = readLog(`${head}${rows(3)}4,a,${'y'.repeat(500)},2\n`);
  expect(findings.firstDamage[0]?.found).toBe(`${'y'.repeat(60)}…`);
});
