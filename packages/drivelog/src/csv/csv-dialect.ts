export type CsvDelimiter = ',' | ';' | '\t';
export type DecimalMark = '.' | ',';

/** Lines that begin so, after blanks, are comments. */
export const COMMENT_PREFIXES = ['#', '//', '%'] as const;

/** A file with more columns than this is not a drive log. */
export const MAX_COLUMNS = 4096;

/** One line, or one quoted field with its line ends, may be this long. It bounds the memory of a reader. */
export const MAX_LINE_BYTES = 1 << 20;

/** What a reader must know about the text of one CSV file, beside its columns. Plain data. */
export interface CsvDialect {
  readonly encoding: 'utf-8' | 'windows-1252';
  readonly hasByteOrderMark: boolean;
  readonly lineEnd: '\n' | '\r';
  readonly delimiter: CsvDelimiter;
  readonly decimalMark: DecimalMark;
  /** Byte offset of the first data row, and its line number from 1. */
  readonly dataOffset: number;
  readonly dataLine: number;
  /** Header and units row as written, to know them again when a restarted logger repeats them. */
  readonly headerRows: readonly string[];
  /** Rows with fewer fields than this were cut short. Unnamed columns at the end of the header do not count. */
  readonly minFields: number;
}
