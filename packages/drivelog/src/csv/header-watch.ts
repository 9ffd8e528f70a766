import type { LogColumn } from '../log-content.js';
import { LogFormatError, type LogPosition } from '../log-format-error.js';
import type { SignalMap } from '../signal-map.js';
import type { CsvDialect } from './csv-dialect.js';
import type { FieldText } from './field-text.js';
import { splitHead } from './split-head.js';

const SHOWN_LETTERS = 120;

/** Knows the header when a restarted logger writes it again, and refuses a file whose columns change on the way. */
export class HeaderWatch {
  repeats = 0;
  private readonly dialect: CsvDialect;
  /** Column index to name, of the mapped columns. */
  private readonly mapped: ReadonlyMap<number, string>;
  private readonly timeColumn: string;
  private readonly text: FieldText;

  constructor(dialect: CsvDialect, columns: readonly LogColumn[], map: SignalMap, text: FieldText) {
    const names = new Set([map.time.column, ...map.signals.map((entry) => entry.column)]);
    this.dialect = dialect;
    this.mapped = new Map(
      columns.filter((column) => names.has(column.name)).map((column) => [column.index, column.name]),
    );
    this.timeColumn = map.time.column;
    this.text = text;
  }

  /** Whether the row from `start` to `end` is a header or units row again. Throws when it puts mapped columns elsewhere. */
  isRepeat(bytes: Uint8Array, start: number, end: number, position: LogPosition): boolean {
    const text = this.text.decode(bytes, start, end);
    const isHeader = this.dialect.headerRows.includes(text) || this.isOtherHeader(text, position);
    if (isHeader) this.repeats++;
    return isHeader;
  }

  /** A row with the names of the time and of another mapped column is a header too. */
  private isOtherHeader(text: string, position: LogPosition): boolean {
    if (!text.includes(this.timeColumn)) return false;
    const cells = splitHead(text, this.dialect.delimiter, this.dialect.lineEnd, 1)[0]?.fields ?? [];
    const known = [...this.mapped].filter(([, name]) => cells.includes(name));
    if (known.length < 2 || !cells.includes(this.timeColumn)) return false;
    if (known.every(([index, name]) => cells[index] === name)) return true;
    throw new LogFormatError('header_changed', {
      found: `another header row, “${text.slice(0, SHOWN_LETTERS)}”`,
      expected: `the columns of the first header, “${this.dialect.headerRows[0].slice(0, SHOWN_LETTERS)}”`,
      position,
    });
  }
}
