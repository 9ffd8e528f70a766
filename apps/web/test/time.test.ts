import { describe, expect, it } from 'vitest';
import { fromLocalInput, toLocalInput } from '../src/format/local-time.js';
import { formatDuration, formatElapsed, formatInstant, parseElapsed, zoneAt, zoneName } from '../src/format/time.js';

describe('times', () => {
  it.each([
    [4.256, '4.26\u202fs'],
    [42.52, '42.5\u202fs'],
    [65, '1\u202fmin 05\u202fs'],
    [119.7, '2\u202fmin 00\u202fs'],
    [12_000, '3\u202fh 20\u202fmin'],
    [null, '–'],
  ])('%s s is written as %s', (seconds, text) => {
    expect(formatDuration(seconds)).toBe(text);
  });

  it.each([
    [127.35, 2, '2:07.35'],
    [59.999, 2, '1:00.00'],
    [3725.5, 1, '1:02:05.5'],
    [5, 0, '0:05'],
  ])('%d s into a drive is written as minutes and seconds', (seconds, digits, text) => {
    expect(formatElapsed(seconds, digits)).toBe(text);
  });

  it.each([
    ['2:07.35', 127.35],
    ['1:02:05.5', 3725.5],
    ['127,35', 127.35],
    [' 0:05 ', 5],
    ['', undefined],
    ['soon', undefined],
    ['1:2:3:4', undefined],
    ['-3', undefined],
  ])('“%s” is read as %s seconds into a drive', (text, seconds) => {
    expect(parseElapsed(text)).toBe(seconds);
  });

  it.each([
    [0, 'UTC'],
    [60, 'UTC+1'],
    [330, 'UTC+5:30'],
    [-300, 'UTC\u22125'],
    [-210, 'UTC\u22123:30'],
  ])('a zone that is %d min ahead of UTC is %s', (aheadMin, name) => {
    expect(zoneAt(aheadMin)).toBe(name);
  });

  it('an instant is written as Intl writes it, with the zone as its distance from UTC', () => {
    const options = { day: 'numeric', month: 'short', year: 'numeric', hour: '2-digit', minute: '2-digit' } as const;
    const format = new Intl.DateTimeFormat('en-GB', options);
    for (let month = 0; month < 12; month++) {
      const moment = new Date(2026, month, 3 + month, 2 * month, 5 * month);
      expect(formatInstant(moment.toISOString())).toBe(`${format.format(moment)} ${zoneName(moment)}`);
    }
  });

  it('a moment survives the input field to the minute', () => {
    const moment = new Date('2026-07-14T06:31:00Z');
    expect(fromLocalInput(toLocalInput(moment))).toBe(moment.toISOString());
  });
});
