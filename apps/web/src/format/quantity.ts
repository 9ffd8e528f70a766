/** Space that keeps a number and its unit on one line. */
const NARROW_SPACE = '\u202f';
const MINUS = '\u2212';

/** Digits after the point that suit a unit: what a person can act on, not what the file holds. */
const DIGITS_BY_UNIT: Record<string, number> = {
  rpm: 0,
  kPa: 0,
  N·m: 0,
  kg: 0,
  J: 0,
  ms: 0,
  '°C': 0,
  '%': 1,
  s: 2,
  A: 2,
  V: 1,
  m: 3,
  rev: 2,
  'm/s²': 2,
  'm/s³': 1,
  'kg·m²': 3,
};

export function digitsFor(unit: string): number {
  return DIGITS_BY_UNIT[unit] ?? 2;
}

const NUMBER_FORMATS = new Map<string, Intl.NumberFormat>();

/** Formats are kept: to make one takes longer than to write a hundred numbers with it. */
function numberFormat(digits: number, useGrouping: boolean): Intl.NumberFormat {
  const key = `${digits} ${useGrouping}`;
  const known = NUMBER_FORMATS.get(key);
  if (known !== undefined) return known;
  const made = new Intl.NumberFormat('en-GB', {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
    useGrouping,
  });
  NUMBER_FORMATS.set(key, made);
  return made;
}

/** A number with the digits that fit; no trailing unit. `null` and not-a-number become a dash, never zero. */
export function formatNumber(value: number | null | undefined, digits: number): string {
  if (value === null || value === undefined || Number.isNaN(value)) return '–';
  const text = numberFormat(digits, Math.abs(value) >= 10_000).format(Math.abs(value));
  return value < 0 && !/^[0.,]+$/.test(text) ? `${MINUS}${text}` : text;
}

/** A number with its unit and the digits that suit the unit, for example “1 240 rpm” or “0.42 s”. */
export function formatQuantity(value: number | null | undefined, unit: string, digits = digitsFor(unit)): string {
  const number = formatNumber(value, digits);
  return number === '–' || unit === '' ? number : `${number}${NARROW_SPACE}${unit}`;
}

/** A signed change with its unit: plus is written out. */
export function formatChange(value: number | null | undefined, unit: string, digits = digitsFor(unit)): string {
  const text = formatQuantity(value, unit, digits);
  return value !== null && value !== undefined && value > 0 && !/^[0.,]+\D*$/.test(text) ? `+${text}` : text;
}

/** The value as it is held, for hover and copying: every digit, with the unit. */
export function fullValue(value: number | null | undefined, unit: string): string {
  if (value === null || value === undefined || Number.isNaN(value)) return 'no value';
  return unit === '' ? String(value) : `${value} ${unit}`;
}

export function formatCount(count: number): string {
  return formatNumber(count, 0);
}

/** “1 shift”, “12 shifts”. */
export function counted(count: number, singular: string, plural = `${singular}s`): string {
  return `${formatCount(count)}${'\u00a0'}${count === 1 ? singular : plural}`;
}

/** Size of a file in the unit that gives two or three digits; 1 MB is 10⁶ bytes. */
export function formatBytes(bytes: number): string {
  if (bytes < 1000) return formatQuantity(bytes, 'B', 0);
  const power = Math.min(3, Math.floor(Math.log10(bytes) / 3));
  const value = bytes / 1000 ** power;
  return formatQuantity(value, ['B', 'kB', 'MB', 'GB'][power] as string, value < 10 ? 1 : 0);
}
