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

/** From here on thousands are set apart by commas. */
const LEAST_GROUPED = 10_000;

/**
 * A number that is not negative with fixed digits, halves rounded up as they are read, so that 1.45 gives 1.5. Written
 * by hand: the first format of `Intl` takes a slow machine longer than a page of numbers.
 */
function written(value: number, digits: number): string {
  if (!Number.isFinite(value)) return '∞';
  const rounded = Number(`${Math.round(Number(`${value}e${digits}`))}e-${digits}`);
  // What is written with a power of ten already is too small or too large to have such digits.
  const text = (Number.isNaN(rounded) ? value : rounded).toFixed(digits);
  return value < LEAST_GROUPED ? text : text.replace(/(?<!\..*)\d(?=(\d{3})+(\.|$))/g, '$&,');
}

/** A number with the digits that fit; no trailing unit. `null` and not-a-number become a dash, never zero. */
export function formatNumber(value: number | null | undefined, digits: number): string {
  if (value === null || value === undefined || Number.isNaN(value)) return '–';
  const text = written(Math.abs(value), digits);
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
