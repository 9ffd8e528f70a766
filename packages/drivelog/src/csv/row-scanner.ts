import type { DamageReason } from '../log-reader.js';
import type { CsvDialect } from './csv-dialect.js';
import type { FieldText } from './field-text.js';

/** Answers of the scanner in place of a position. */
export const INCOMPLETE = -1;
const BAD_QUOTING = -2;

const TAB = 9;
const LF = 10;
const CR = 13;
const BLANK = 32;
const QUOTE = 34;
const HASH = 35;
const PERCENT = 37;
const PLUS = 43;
const MINUS = 45;
const SLASH = 47;
const ZERO = 48;

/** Digits that surely fit a 32-bit integer. */
const MAX_INT_DIGITS = 9;
const POWERS_OF_TEN = Float64Array.from({ length: MAX_INT_DIGITS + 1 }, (_, n) => 10 ** n);

/** Slot of a column that nobody asked for, and of the time column. */
export const UNUSED_COLUMN = -1;
const TIME_SLOT = 0;
const NEEDS_READER = -2;

/** Letters of a damaged field or row that are kept to show. */
const SHOWN_LETTERS = 60;

/** Reads the field between two positions: NaN for “no value”, undefined when it cannot be read. */
export type FieldReader = (bytes: Uint8Array, start: number, end: number) => number | undefined;

/** What becomes of the columns. Slot 0 is time. */
export interface RowPlan {
  /** Slot of each column, or UNUSED_COLUMN. */
  readonly slotOfColumn: Int16Array;
  /** One per slot. */
  readonly slots: readonly SlotPlan[];
}

export interface SlotPlan {
  /** Plain numbers need not go through `read`. */
  readonly isNumeric: boolean;
  readonly read: FieldReader;
}

export interface RowDamage {
  readonly reason: DamageReason;
  /** Column index, or null for the row as a whole. */
  readonly column: number | null;
  readonly found: string;
}

/** What a row turned out to be. */
export type RowKind = 'data' | 'damaged' | 'comment' | 'blank';

/**
 * Reads rows from a byte buffer into a table of numbers. A plain number is made from its digits as an integer, divided
 * once by a power of ten: exact, since a division of two exact doubles is correctly rounded (W. Clinger, “How to read
 * floating point numbers accurately”, 1990). Quotes, exponents, longer numbers, missing values and texts take the slower
 * way through the slot's reader.
 *
 * The owner sets `bytes`, `length` and `isFinal`; `bytes[length]` must be the line-end byte, as a sentinel.
 */
export class RowScanner {
  bytes = new Uint8Array(0);
  /** Count of valid bytes. */
  length = 0;
  /** No more bytes will come: the end of the buffer ends the last row. */
  isFinal = false;

  /** Of the last row read. */
  kind: RowKind = 'data';
  damage: RowDamage | null = null;
  /** Line ends inside quoted fields. */
  innerLineEnds = 0;
  hasExtraFields = false;

  /** Column being read; count of fields once the row is done. */
  private column = 0;
  private isAtLineEnd = false;

  private readonly delimiter: number;
  private readonly lineEnd: number;
  private readonly decimalMark: number;
  private readonly minFields: number;
  private readonly slotOfColumn: Int16Array;
  private readonly slots: readonly SlotPlan[];
  /** Like slotOfColumn, with NEEDS_READER for slots that are no numbers. */
  private readonly plainSlotOfColumn: Int16Array;
  private readonly text: FieldText;

  constructor(dialect: CsvDialect, plan: RowPlan, text: FieldText) {
    this.delimiter = dialect.delimiter.charCodeAt(0);
    this.lineEnd = dialect.lineEnd.charCodeAt(0);
    this.decimalMark = dialect.decimalMark.charCodeAt(0);
    this.minFields = dialect.minFields;
    this.slotOfColumn = plan.slotOfColumn;
    this.slots = plan.slots;
    this.plainSlotOfColumn = plan.slotOfColumn.map((slot) =>
      plan.slots[slot]?.isNumeric === false ? NEEDS_READER : slot,
    );
    this.text = text;
  }

  /**
   * Reads the row that begins at `start` and writes its values to `cells[slot × stride + row]`.
   * Answers the start of the next row, or INCOMPLETE when the buffer ends before the row does.
   */
  readRow(start: number, cells: Float64Array, stride: number, row: number): number {
    this.kind = 'data';
    this.damage = null;
    this.innerLineEnds = 0;
    this.hasExtraFields = false;
    this.column = 0;
    if (this.bytes[start] < ZERO && this.isEmptyOrComment(start)) return this.lineAfter(start);
    let position = start;
    for (;;) {
      position = this.readPlainRun(position, cells, stride, row);
      if (!this.isAtLineEnd) {
        position = this.readField(position, cells, stride, row);
        if (position < 0) return position === BAD_QUOTING ? this.readBadLine(start, 'quoting') : INCOMPLETE;
        this.column++;
        if (position < this.length && this.bytes[position] === this.delimiter) {
          position++;
          continue;
        }
      }
      if (position >= this.length && !this.isFinal) return INCOMPLETE;
      this.closeRow(start, position);
      return position + 1;
    }
  }

  /**
   * Reads on while fields are plain numbers of up to nine digits, or unused and unquoted. Answers the start of the first
   * field that is neither, or the line end, with `isAtLineEnd` set. This loop is where the time goes: nine digits fit a
   * 32-bit integer, which is faster than a double, and one method for the whole run keeps its variables in registers.
   */
  private readPlainRun(start: number, cells: Float64Array, stride: number, row: number): number {
    const { bytes, delimiter, lineEnd, decimalMark, plainSlotOfColumn } = this;
    let fieldStart = start;
    let column = this.column;
    this.isAtLineEnd = false;
    while (column < plainSlotOfColumn.length) {
      const slot = plainSlotOfColumn[column];
      let p = fieldStart;
      let b = bytes[p];
      while (b === BLANK) b = bytes[++p];
      if (slot >= 0) {
        const isNegative = b === MINUS;
        if (isNegative || b === PLUS) b = bytes[++p];
        const digitStart = p;
        let mantissa = 0;
        let digit = b - ZERO;
        while (digit >= 0 && digit <= 9) {
          mantissa = (Math.imul(mantissa, 10) + digit) | 0;
          digit = bytes[++p] - ZERO;
        }
        let digitCount = p - digitStart;
        let decimals = 0;
        if (digit + ZERO === decimalMark) {
          const fractionStart = ++p;
          digit = bytes[p] - ZERO;
          while (digit >= 0 && digit <= 9) {
            mantissa = (Math.imul(mantissa, 10) + digit) | 0;
            digit = bytes[++p] - ZERO;
          }
          decimals = p - fractionStart;
          digitCount += decimals;
        }
        b = digit + ZERO;
        if (b !== delimiter) {
          if (b === CR && lineEnd === LF) b = bytes[++p];
          if (b !== lineEnd) break;
        }
        if (digitCount === 0 || digitCount > MAX_INT_DIGITS) break;
        const value = mantissa / POWERS_OF_TEN[decimals];
        cells[slot * stride + row] = isNegative ? -value : value;
      } else {
        if (slot === NEEDS_READER || b === QUOTE) break;
        while (b !== delimiter && b !== lineEnd) b = bytes[++p];
      }
      column++;
      if (b !== delimiter) {
        this.column = column;
        this.isAtLineEnd = true;
        return p;
      }
      fieldStart = p + 1;
    }
    this.column = column;
    return fieldStart;
  }

  /** A line that cannot be read as a row, however its quotes stand: it is damaged and the next line begins anew. */
  readBadLine(start: number, reason: 'quoting' | 'field_too_long'): number {
    const next = this.lineAfter(start);
    if (next === INCOMPLETE) return INCOMPLETE;
    this.kind = 'damaged';
    this.innerLineEnds = 0;
    this.damage = { reason, column: this.column, found: this.shown(start, next - 1) };
    return next;
  }

  /** Start of the line after the one at `start`, whatever it holds. */
  private lineAfter(start: number): number {
    let p = start;
    while (this.bytes[p] !== this.lineEnd) p++;
    return p < this.length || this.isFinal ? p + 1 : INCOMPLETE;
  }

  private isEmptyOrComment(start: number): boolean {
    const { bytes, lineEnd, delimiter } = this;
    let p = start;
    let b = bytes[p];
    while (b === BLANK || (b === TAB && delimiter !== TAB) || (b === CR && lineEnd !== CR)) b = bytes[++p];
    if (b === lineEnd) this.kind = 'blank';
    else if (b === HASH || b === PERCENT || (b === SLASH && bytes[p + 1] === SLASH)) this.kind = 'comment';
    return this.kind !== 'data';
  }

  /** Reads any field; answers where it ends, INCOMPLETE or BAD_QUOTING. */
  private readField(position: number, cells: Float64Array, stride: number, row: number): number {
    const { bytes, delimiter, lineEnd } = this;
    let p = position;
    while (bytes[p] === BLANK) p++;
    if (bytes[p] === QUOTE) return this.readQuotedField(p, cells, stride, row);
    const contentStart = p;
    while (bytes[p] !== delimiter && bytes[p] !== lineEnd) p++;
    if (p < this.length || this.isFinal) this.store(bytes, contentStart, p, cells, stride, row);
    return p;
  }

  /** RFC 4180: delimiters and line ends inside quotes are content, a doubled quote is a quote. */
  private readQuotedField(open: number, cells: Float64Array, stride: number, row: number): number {
    const { bytes, length } = this;
    let p = open + 1;
    let hasDoubled = false;
    for (; ; p++) {
      if (p >= length) return this.isFinal ? BAD_QUOTING : INCOMPLETE;
      const b = bytes[p];
      if (b === this.lineEnd) this.innerLineEnds++;
      if (b !== QUOTE) continue;
      if (p + 1 >= length && !this.isFinal) return INCOMPLETE;
      if (p + 1 >= length || bytes[p + 1] !== QUOTE) break;
      hasDoubled = true;
      p++;
    }
    let end = p + 1;
    while (bytes[end] === BLANK || (bytes[end] === CR && this.lineEnd === LF)) end++;
    if (end >= length && !this.isFinal) return INCOMPLETE;
    if (bytes[end] !== this.delimiter && bytes[end] !== this.lineEnd) return BAD_QUOTING;
    if (hasDoubled) {
      const content = withoutDoubledQuotes(bytes.subarray(open + 1, p));
      this.store(content, 0, content.length, cells, stride, row);
    } else this.store(bytes, open + 1, p, cells, stride, row);
    return end;
  }

  /** Reads the value of a field that is no plain number, or notes the first damage of the row. */
  private store(bytes: Uint8Array, start: number, end: number, cells: Float64Array, stride: number, row: number): void {
    const { column, slotOfColumn } = this;
    const slot = slotOfColumn[column];
    if (slot === undefined) this.hasExtraFields ||= end > start && bytes[start] !== CR;
    if (slot === undefined || slot === UNUSED_COLUMN) return;
    const value = this.slots[slot].read(bytes, start, end);
    cells[slot * stride + row] = value ?? NaN;
    if (value === undefined) {
      const reason = slot === TIME_SLOT ? 'time_unreadable' : 'value_unreadable';
      this.damage ??= { reason, column, found: this.shown(start, end, bytes) };
    } else if (slot === TIME_SLOT && Number.isNaN(value)) {
      this.damage ??= { reason: 'time_missing', column, found: this.shown(start, end, bytes) };
    }
  }

  private closeRow(start: number, end: number): void {
    if (this.column < this.minFields) {
      const found = `${this.column} of ${this.minFields} fields: ${this.shown(start, end)}`;
      this.damage = { reason: 'too_few_fields', column: null, found };
    }
    if (this.damage !== null) this.kind = 'damaged';
  }

  private shown(start: number, end: number, bytes: Uint8Array = this.bytes): string {
    const text = this.text.decode(bytes, start, Math.min(end, start + SHOWN_LETTERS));
    return end - start > SHOWN_LETTERS ? `${text}…` : text;
  }
}

/** Quotes stand in pairs here; one of each pair is kept. */
function withoutDoubledQuotes(content: Uint8Array): Uint8Array {
  const kept = new Uint8Array(content.length);
  let count = 0;
  for (let i = 0; i < content.length; i++) {
    kept[count++] = content[i];
    if (content[i] === QUOTE) i++;
  }
  return kept.subarray(0, count);
}
