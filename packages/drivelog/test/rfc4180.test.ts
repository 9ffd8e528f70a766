import { expect, it } from 'vitest';
import { inspectCsv } from '../src/index.js';
import { bytesOf, readLog } from './read-log.js';

/** RFC 4180 section 2, rules 1 to 7, with its forms of records around numbers. */
it.each([
  ['1: each record on a line of its own, ended by CRLF', '0,1,2\r\n3,4,5\r\n'],
  ['2: the last record may lack its line end', '0,1,2\r\n3,4,5'],
  ['4: blanks are part of a field, which around numbers means nothing', '0, 1 ,2\r\n3,4, 5\r\n'],
  ['5: fields may be enclosed in double quotes', '"0","1","2"\r\n3,"4",5\r\n'],
])('rule %s', (_, rows) => {
  const log = readLog(`time,turbine,output shaft\r\n${rows}`);
  expect(log.timeS).toEqual([0, 3]);
  expect(log.signals).toEqual({ inputSpeed: [1, 4], outputSpeed: [2, 5] });
});

it('rules 3, 6 and 7: a quoted header or field may hold CRLF, delimiters and doubled quotes', () => {
  const text =
    'time,"note, with ""b"" CRLF\r\nbb",turbine,output shaft\r\n0,"aaa","1",2\r\n3,"b\r\n,bb ""x""",4,5\r\n6,"",7,8\r\n';
  expect(inspectCsv(bytesOf(text)).columns[1]?.name).toBe('note, with "b" CRLF\r\nbb');
  const log = readLog(text);
  expect(log.timeS).toEqual([0, 3, 6]);
  expect(log.signals).toEqual({ inputSpeed: [1, 4, 7], outputSpeed: [2, 5, 8] });
  expect(log.findings.damagedRows).toBe(0);
});

it('a quote that does not open a field is a letter like any other', () => {
  const log = readLog('time,size,turbine,output shaft\n0,5" pipe,1,2\n3,a"b"c,4,5\n');
  expect(log.signals).toEqual({ inputSpeed: [1, 4], outputSpeed: [2, 5] });
});

it('a quote that is never closed costs its line only', () => {
  const log = readLog('time,note,turbine,output shaft\n0,a,1,2\n1,"open,3,4\n2,b,5,6\n3,c,7,8\n');
  expect(log.timeS).toEqual([0, 2, 3]);
  expect(log.findings.firstDamage).toMatchObject([{ line: 3, column: 'note', reason: 'quoting' }]);
});

it('lines inside quoted fields count as lines of the file', () => {
  const log = readLog('time,note,turbine,output shaft\n0,"a\nb\nc",1,2\n1,d,x,4\n2,e,5,6\n3,e,5,6\n');
  expect(log.findings.firstDamage).toMatchObject([{ line: 5, found: 'x' }]);
});
