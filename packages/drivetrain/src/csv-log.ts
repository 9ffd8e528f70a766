import type { LogColumn, LogDialect, TimeColumn } from './dialect.js';
import type { DriveLog } from './sample-log.js';

/** Rows per chunk. */
const CHUNK_ROWS = 4096;
/** No field is longer: sign, 16 digits, decimal mark, or an ISO time. */
const LONGEST_FIELD = 28;
const POWERS = [1, 10, 100, 1000, 10_000, 100_000, 1_000_000];

/**
 * Writes a drive log as CSV in a car's dialect, in chunks of some thousand rows (UTF-8). A signal that the log lacks
 * and a NaN become empty fields. `startUtcMs` is the moment of time 0, needed by dialects that write dates.
 */
export function* writeCsvLog(log: DriveLog, dialect: LogDialect, startUtcMs = 0): Generator<Uint8Array<ArrayBuffer>> {
  yield new TextEncoder().encode(headOf(dialect));
  const fields = dialect.columns.map((column) => fieldWriter(column, log, dialect, startUtcMs));
  const delimiter = dialect.delimiter.charCodeAt(0);
  const lineEnd = new TextEncoder().encode(dialect.lineEnd);
  const rows = log.timeS.length;
  for (let start = 0; start < rows; start += CHUNK_ROWS) {
    const end = Math.min(rows, start + CHUNK_ROWS);
    const text = new ByteText((end - start) * (fields.length * (LONGEST_FIELD + 1) + 2));
    for (let row = start; row < end; row++) {
      for (let i = 0; i < fields.length; i++) {
        if (i > 0) text.push(delimiter);
        fields[i](text, row);
      }
      if (row < rows - 1 || dialect.finalLineEnd) for (const mark of lineEnd) text.push(mark);
    }
    yield text.finish();
  }
}

/** The whole log as one text; for short logs and tests. */
export function csvLogText(log: DriveLog, dialect: LogDialect, startUtcMs = 0): string {
  const decoder = new TextDecoder('utf-8', { ignoreBOM: true });
  let text = '';
  for (const chunk of writeCsvLog(log, dialect, startUtcMs)) text += decoder.decode(chunk, { stream: true });
  return text + decoder.decode();
}

function headOf(dialect: LogDialect): string {
  const names = dialect.columns.map(({ name, unit }) =>
    quote(dialect.units === 'header' && unit !== '' ? `${name} [${unit}]` : name, dialect),
  );
  const units = dialect.columns.map(({ unit }) => quote(`[${unit}]`, dialect));
  const lines = [...dialect.comments, names.join(dialect.delimiter)];
  if (dialect.units === 'row') lines.push(units.join(dialect.delimiter));
  return (dialect.byteOrderMark ? '\uFEFF' : '') + lines.map((line) => line + dialect.lineEnd).join('');
}

function quote(text: string, dialect: LogDialect): string {
  return dialect.quoted || text.includes(dialect.delimiter) ? `"${text}"` : text;
}

type FieldWriter = (text: ByteText, row: number) => void;

function fieldWriter(column: LogColumn, log: DriveLog, dialect: LogDialect, startUtcMs: number): FieldWriter {
  const mark = dialect.decimalMark.charCodeAt(0);
  switch (column.kind) {
    case 'time':
      return timeWriter(column, log.timeS, mark, startUtcMs);
    case 'signal': {
      const values = log.signals[column.signal];
      const { scale, offset, decimals } = column;
      if (values === undefined) return () => {};
      return (text, row) => text.pushNumber(values[row] * scale + offset, decimals, mark);
    }
    case 'counter':
      return (text, row) => text.pushNumber(row % 256, 0, mark);
    case 'empty':
      return () => {};
    default:
      return column satisfies never;
  }
}

function timeWriter(column: TimeColumn, timeS: Float64Array, mark: number, startUtcMs: number): FieldWriter {
  switch (column.format) {
    case 'seconds':
      return (text, row) => text.pushNumber(timeS[row], 3, mark);
    case 'milliseconds':
      return (text, row) => text.pushNumber(timeS[row] * 1000, 0, mark);
    case 'iso':
      return (text, row) => text.pushText(new Date(Math.round(startUtcMs + timeS[row] * 1000)).toISOString());
    default:
      return column.format satisfies never;
  }
}

/** ASCII text under construction in bytes: some ten times as fast as joining strings of `toFixed`. */
class ByteText {
  readonly #bytes: Uint8Array<ArrayBuffer>;
  #length = 0;

  constructor(capacity: number) {
    this.#bytes = new Uint8Array(capacity);
  }

  push(byte: number): void {
    this.#bytes[this.#length++] = byte;
  }

  pushText(text: string): void {
    for (let i = 0; i < text.length; i++) this.push(text.charCodeAt(i));
  }

  /** Fixed decimals, rounded half away from zero; nothing for NaN. */
  pushNumber(value: number, decimals: number, mark: number): void {
    if (Number.isNaN(value)) return;
    const scaled = Math.round(Math.abs(value) * POWERS[decimals]);
    if (value < 0 && scaled > 0) this.push(45);
    const whole = Math.floor(scaled / POWERS[decimals]);
    this.#pushDigits(whole, 1);
    if (decimals === 0) return;
    this.push(mark);
    this.#pushDigits(scaled - whole * POWERS[decimals], decimals);
  }

  finish(): Uint8Array<ArrayBuffer> {
    return this.#bytes.subarray(0, this.#length);
  }

  /** A whole number, not negative, with at least so many digits. */
  #pushDigits(value: number, least: number): void {
    let digits = 1;
    for (let power = 10; value >= power; power *= 10) digits++;
    const count = Math.max(digits, least);
    let rest = value;
    for (let i = this.#length + count - 1; i >= this.#length; i--) {
      const next = Math.floor(rest / 10);
      this.#bytes[i] = 48 + (rest - next * 10);
      rest = next;
    }
    this.#length += count;
  }
}
