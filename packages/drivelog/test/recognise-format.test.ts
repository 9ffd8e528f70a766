import { expect, it } from 'vitest';
import { ACCEPTED_FORMATS, inspectLog, recogniseFormat } from '../src/index.js';
import { bytesOf } from './read-log.js';

const bytes = (...values: number[]) => Uint8Array.from([...values, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7]);
const utf16 = (text: string) => Uint8Array.from([...bytesOf(text)].flatMap((byte) => [byte, 0]));

/** First bytes by the published layouts of the formats (ASAM MDF 4.1 identification block, RFC 1952, APPNOTE 6.3, PDF, PNG). */
it.each<[string, Uint8Array, string, string]>([
  ['gzip', bytes(0x1f, 0x8b, 8), 'compressed', 'compressed'],
  ['zip', bytes(0x50, 0x4b, 3, 4), 'compressed', 'compressed'],
  ['PDF', bytesOf('%PDF-1.7\n'), 'foreign', 'format_not_accepted'],
  ['PNG', bytes(0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10), 'foreign', 'format_not_accepted'],
  ['SQLite', bytesOf('SQLite format 3\0'), 'foreign', 'format_not_accepted'],
  ['HTML', bytesOf('<!DOCTYPE html><p>a, b; c'), 'foreign', 'format_not_accepted'],
  ['UTF-16 with a mark', Uint8Array.from([0xff, 0xfe, ...utf16('time;turbine\n0;1\n')]), 'utf16', 'encoding_utf16'],
  ['UTF-16 without a mark', utf16('time;turbine\n0;1\n'), 'utf16', 'encoding_utf16'],
  ['nothing but zero bytes', new Uint8Array(64), 'binary', 'binary_content'],
  ['other binary data', bytes(1, 2, 3, 0, 200, 5, 0, 9), 'binary', 'binary_content'],
  ['text without columns', bytesOf('08 00 00 03 50 05 20\n08 00 00 05 45\n'), 'text', 'unknown_content'],
  ['an empty file', new Uint8Array(0), 'empty', 'empty'],
  ['blank lines', bytesOf('\n \r\n'), 'empty', 'empty'],
])('%s is recognised and refused with what was seen and what is accepted', (_, content, format, code) => {
  const recognised = recogniseFormat(content);
  expect(recognised.format).toBe(format);
  expect(() => inspectLog(content)).toThrow(
    expect.objectContaining({ code, found: recognised.reason, expected: ACCEPTED_FORMATS }),
  );
});

it.each(['time,turbine\n0,1\n', 'Zeit;Drehzahl\n', '\ufefft\tn\n', '# comment\n\ntime,n\n'])(
  '%j is taken for CSV',
  (text) => {
    expect(recogniseFormat(bytesOf(text)).format).toBe('csv');
  },
);

it.each([
  ['in log form', '(1436509052.249713) vcan0 044#2A366C2BBA\n'],
  ['in long form', ' (1436509052.249713)  vcan0  044   [5]  2A 36 6C 2B BA\n'],
  ['with dates', ' (2015-07-10 06:17:32.249713)  vcan0  044   [5]  2A 36 6C 2B BA\n'],
  ['without times', '  vcan0  044   [5]  2A 36 6C 2B BA\n'],
  ['with a torn first line', '2BBA\n(1436509052.249713) vcan0 044#2A366C2BBA\n'],
])('a candump capture %s is recognised', (_, text) => {
  expect(recogniseFormat(bytesOf(text)).format).toBe('candump');
});

it.each([
  ['finished', 'MDF     4.10    writer  '],
  ['unfinished', 'UnFinMF 4.10    writer  '],
])('an MDF file, %s, is recognised; as a stream it is refused', (_, head) => {
  expect(recogniseFormat(bytesOf(head)).format).toBe('mdf');
  const expected = expect.stringContaining('createMdfReader');
  expect(() => inspectLog(bytesOf(head))).toThrow(expect.objectContaining({ code: 'format_not_accepted', expected }));
});

it('JSON lines are recognised', () => {
  expect(recogniseFormat(bytesOf('{"t":0,"turbine":1000}\n{"t":0.1,"turbine":1001}\n')).format).toBe('jsonLines');
});
