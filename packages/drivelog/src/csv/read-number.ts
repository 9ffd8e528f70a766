import { isMissingText } from './cell-kind.js';
import type { DecimalMark } from './csv-dialect.js';
import type { FieldText } from './field-text.js';
import { MAX_DECIMALS, MAX_TAIL_DIGITS, nearestDecimal } from './nearest-decimal.js';
import type { FieldReader } from './row-scanner.js';

const BLANK = 32;
const PLUS = 43;
const MINUS = 45;
const ZERO = 48;

/** Leading digits that make an exact integer. */
const HEAD_DIGITS = 15;

/** Numbers that are too long for the row scanner, have an exponent or blanks behind, and the writings of “no value”. */
export function numberReader(text: FieldText, decimalMark: DecimalMark): FieldReader {
  const mark = decimalMark.charCodeAt(0);
  const pattern =
    decimalMark === ',' ? /^[+-]?(?:\d+,?\d*|,\d+)(?:e[+-]?\d+)?$/i : /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i;
  return (bytes, start, end) => {
    if (start === end) return NaN;
    const plain = plainDecimal(bytes, start, end, mark);
    if (!Number.isNaN(plain)) return plain;
    const cell = text.decode(bytes, start, end);
    if (isMissingText(cell)) return NaN;
    if (!pattern.test(cell)) return undefined;
    const value = Number(decimalMark === ',' ? cell.replace(',', '.') : cell);
    return Number.isFinite(value) ? value : undefined;
  };
}

/** The nearest double to a decimal number without exponent; NaN for anything else, and when it must be told by other means. */
function plainDecimal(bytes: Uint8Array, start: number, end: number, mark: number): number {
  let last = end;
  while (last > start && bytes[last - 1] <= BLANK) last--;
  const isNegative = bytes[start] === MINUS;
  let head = 0;
  let tail = 0;
  let headDigits = 0;
  let tailDigits = 0;
  let markAt = last;
  const first = isNegative || bytes[start] === PLUS ? start + 1 : start;
  for (let p = first; p < last; p++) {
    const digit = bytes[p] - ZERO;
    if (digit < 0 || digit > 9) {
      if (bytes[p] !== mark || markAt !== last) return NaN;
      markAt = p;
    } else if (headDigits < HEAD_DIGITS) {
      head = head * 10 + digit;
      if (head > 0) headDigits++;
    } else {
      tail = tail * 10 + digit;
      tailDigits++;
    }
  }
  const decimals = Math.max(0, last - markAt - 1);
  const hasDigits = last - first > (markAt === last ? 0 : 1);
  if (!hasDigits || tailDigits > MAX_TAIL_DIGITS || decimals > MAX_DECIMALS) return NaN;
  const value = nearestDecimal(head, tail, tailDigits, decimals);
  return isNegative ? -value : value;
}
