import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatBytes, formatChange, formatNumber, formatQuantity, fullValue } from '../src/format/quantity.js';

describe('quantities', () => {
  it.each([
    [1240.4, 'rpm', '1240\u202frpm'],
    [412.6, 'kPa', '413\u202fkPa'],
    [0.4249, 's', '0.42\u202fs'],
    [1.5, 'A', '1.50\u202fA'],
    [12.34, '%', '12.3\u202f%'],
    [23456, 'J', '23,456\u202fJ'],
    [-0.5, 'm/s²', '\u22120.50\u202fm/s²'],
  ])('%d %s is written with the digits that suit its unit', (value, unit, text) => {
    expect(formatQuantity(value, unit)).toBe(text);
  });

  it.each([null, undefined, Number.NaN])('a missing value (%s) is a dash and never zero', (value) => {
    expect(formatQuantity(value, 'rpm')).toBe('–');
    expect(fullValue(value, 'rpm')).toBe('no value');
  });

  it('a number that rounds to zero has no sign', () => {
    expect(formatNumber(-0.0001, 2)).toBe('0.00');
    expect(formatChange(0.0001, 's')).toBe('0.00\u202fs');
  });

  it.each([
    [1.45, 1, '1.5'],
    [1.005, 2, '1.01'],
    [9999.6, 0, '10000'],
    [1e-7, 2, '0.00'],
    [1234567.25, 1, '1,234,567.3'],
    [Number.POSITIVE_INFINITY, 1, '∞'],
  ])('%d with %d digits is %s', (value, digits, text) => {
    expect(formatNumber(value, digits)).toBe(text);
  });

  it('numbers are written as Intl writes them', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1e9, noNaN: true }), fc.integer({ min: 0, max: 4 }), (value, digits) => {
        const format = new Intl.NumberFormat('en-GB', {
          minimumFractionDigits: digits,
          maximumFractionDigits: digits,
          useGrouping: value >= 10_000,
        });
        expect(formatNumber(value, digits)).toBe(format.format(value));
      }),
    );
  });

  it('a change names its direction', () => {
    expect(formatChange(12, 'kPa')).toBe('+12\u202fkPa');
    expect(formatChange(-12, 'kPa')).toBe('\u221212\u202fkPa');
  });

  it('hover gives every digit', () => {
    expect(fullValue(0.42491, 's')).toBe('0.42491 s');
  });

  it.each([
    [999, '999\u202fB'],
    [1000, '1.0\u202fkB'],
    [12_345_678, '12\u202fMB'],
    [4_000_000_000, '4.0\u202fGB'],
  ])('%d bytes are written as %s', (bytes, text) => {
    expect(formatBytes(bytes)).toBe(text);
  });
});
