import type { Rate } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { describeRate, formatShare, formatTooFew } from '../src/format/rate.js';

const few = (shifts: number, vehicles: number): Extract<Rate, { kind: 'insufficient' }> => ({
  kind: 'insufficient',
  events: 1,
  shifts,
  vehicles,
  neededShifts: 30,
  neededVehicles: 3,
});

describe('rates', () => {
  it.each([
    [0.0123, '1.2\u202f%'],
    [0.0995, '10\u202f%'],
    [0.333, '33\u202f%'],
    [0, '0.0\u202f%'],
    [1, '100\u202f%'],
  ])('a share of %d is written as %s', (share, text) => {
    expect(formatShare(share)).toBe(text);
  });

  it('too few shifts are said instead of a rate', () => {
    expect(formatTooFew(few(7, 2))).toBe('too few: 7 of 30\u00a0shifts');
  });

  it('enough shifts of too few cars are said by their cars', () => {
    expect(formatTooFew(few(44, 1))).toBe('too few: 1 of 3\u00a0cars');
  });

  it('an estimate comes with interval and counts', () => {
    const rate: Rate = { kind: 'estimate', events: 12, shifts: 88, vehicles: 14, rate: 0.136, low: 0.081, high: 0.218 };
    expect(describeRate(rate, 'flare')).toBe(
      'flare 14\u202f%, interval 8.1 to 22\u202f%, 12 of 88\u00a0shifts in 14\u00a0cars',
    );
  });
});
