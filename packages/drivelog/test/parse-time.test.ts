import fc from 'fast-check';
import { expect, it } from 'vitest';
import { daysSince1970, MidnightUnwrapper, parseClock, parseIso8601 } from '../src/csv/parse-time.js';
import { bytesOf } from './read-log.js';

function iso(text: string) {
  const bytes = bytesOf(text);
  return parseIso8601(bytes, 0, bytes.length);
}

function clock(text: string) {
  const bytes = bytesOf(text);
  return parseClock(bytes, 0, bytes.length);
}

it('days are those of the calendar of the language', () => {
  const property = fc.property(
    fc.date({ min: new Date('0100-01-01'), max: new Date('9999-12-31'), noInvalidDate: true }),
    (date) => {
      const days = daysSince1970(date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate());
      expect(days).toBe(Math.floor(date.getTime() / 86_400_000));
    },
  );
  fc.assert(property, { numRuns: 500, seed: 6 });
});

/** Date.parse knows the form that ECMA-262 shares with ISO 8601. */
it.each([
  '2026-03-01T09:00:00Z',
  '2026-03-01T09:00:00.125Z',
  '2026-03-01T00:30:00+01:00',
  '2024-02-29T23:59:59.999-11:30',
  '1999-12-31T23:59:59Z',
])('%s is the instant that it says', (text) => {
  const found = iso(text);
  expect(((found?.day ?? NaN) * 86_400 + (found?.second ?? NaN)) * 1000).toBeCloseTo(Date.parse(text), 3);
  expect(found?.hasZone).toBe(true);
});

it.each([
  ['2026-03-01 09:00', 32_400, false],
  ['2026-03-01T09:00:00,5', 32_400.5, false],
  ['2026-03-01t09:00:00.000001z', 32_400.000001, true],
  ['2026-03-01T09:00:00 +0230', 23_400, true],
  ['2026-03-01T09:00:00-03', 43_200, true],
  ['2026-12-31T23:59:60Z', 86_400, true],
])('%s is second %f of its day', (text, second, hasZone) => {
  expect(iso(text)).toMatchObject({ second, hasZone });
});

it.each([
  '2026-02-29T00:00:00Z',
  '2026-13-01T00:00',
  '2026-03-01',
  '2026-03-01T24:00',
  '2026-03-01T9:00',
  '2026-03-01T09:00:00Zx',
  '26-03-01T09:00',
])('%s is no date with time', (text) => expect(iso(text)).toBeUndefined());

it.each([
  ['00:00:00', 0],
  ['9:05:07', 32_707],
  ['23:59:59.999999', 86_399.999999],
  ['12:00:00,5', 43_200.5],
])('%s is second %f of the day', (text, second) => expect(clock(text)).toBe(second));

it.each(['12:00', '24:00:00', '12:60:00', '12:00:61', '12:00:00.', '12-00-00', '', ':', '1:2:3'])(
  '%j is no clock time',
  (text) => expect(clock(text)).toBeNaN(),
);

it('a clock past midnight runs on, a small step back stays, also across midnight', () => {
  const midnight = new MidnightUnwrapper();
  const times = [86_399, 86_398.5, 0.5, 86_399.9, 1, 40_000, 86_000, 2];
  expect(times.map((t) => midnight.unwrap(t))).toEqual([
    86_399, 86_398.5, 86_400.5, 86_399.9, 86_401, 126_400, 172_400, 172_802,
  ]);
});
