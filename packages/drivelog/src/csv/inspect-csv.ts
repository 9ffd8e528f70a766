import type { LogContent } from '../log-content.js';
import { LogFormatError } from '../log-format-error.js';
import { recogniseFormat, refusalOf } from '../recognise-format.js';
import { cellKind } from './cell-kind.js';
import { nameColumns } from './column-names.js';
import { COMMENT_PREFIXES, type CsvDelimiter, type CsvDialect, type DecimalMark, MAX_COLUMNS } from './csv-dialect.js';
import { decodeHead } from './decode-head.js';
import { findLayout, type HeadLayout } from './find-layout.js';
import { findTimeColumns } from './find-time-column.js';
import { type DecimalMarkCounts, findOddities } from './inspection-findings.js';

/** What was understood of a CSV file. */
export interface CsvInspection extends LogContent {
  readonly format: 'csv';
  readonly dialect: CsvDialect;
  /** Comment prefix met, or null. */
  readonly commentPrefix: string | null;
  /** Comments and other lines above the header. */
  readonly preamble: readonly string[];
  /** Line of the header, from 1; of the units row, or null. */
  readonly headerLine: number;
  readonly unitsLine: number | null;
}

/** What a person may set right when the inspection misread the file. */
export interface CsvOverrides {
  readonly delimiter?: CsvDelimiter;
  readonly decimalMark?: DecimalMark;
  /** Line of the header row, from 1. */
  readonly headerLine?: number;
}

const MAX_HEAD_BYTES = 1 << 18;
const SHOWN_ROWS = 10;

/**
 * Understands the dialect of a CSV file from its first bytes (64 KiB are plenty; a whole small file is fine).
 * Throws LogFormatError when the bytes are no CSV log: other format, no delimiter, no header, no rows of numbers.
 */
export function inspectCsv(firstBytes: Uint8Array, overrides: CsvOverrides = {}): CsvInspection {
  const recognised = recogniseFormat(firstBytes);
  if (recognised.format !== 'csv') throw refusalOf(recognised);
  const head = decodeHead(firstBytes.subarray(0, MAX_HEAD_BYTES));
  const layout = findLayout(head.text, head.lineEnd, overrides);
  const rows = layout.rows.filter((row) => row.kind === 'fields').map((row) => row.fields);
  const columnCount = Math.max(layout.headerCells.length, usualWidth(rows));
  assertColumnCount(columnCount, layout.header.line);
  const columns = nameColumns(layout.headerCells, layout.units?.fields ?? [], columnCount);

  const marks = countDecimalMarks(rows);
  const decimalMark = overrides.decimalMark ?? (marks.comma > marks.point ? ',' : '.');
  const toNumber = (text: string) => Number(decimalMark === ',' ? text.replace(',', '.') : text);
  const timeCandidates = findTimeColumns(columns, rows, toNumber);
  const dialect: CsvDialect = {
    encoding: head.encoding,
    hasByteOrderMark: head.hasByteOrderMark,
    lineEnd: head.lineEnd,
    delimiter: layout.delimiter,
    decimalMark,
    dataOffset: head.byteOffsetOf(layout.rows[0].start),
    dataLine: layout.rows[0].line,
    headerRows: [layout.header, layout.units].flatMap((record) => (record === null ? [] : [record.text.trim()])),
    minFields: layout.headerCells.length,
  };
  const preamble = layout.records.filter((record) => record.line < layout.header.line && record.kind !== 'blank');
  return {
    format: 'csv',
    dialect,
    columns,
    commentPrefix: commentPrefixOf(layout),
    preamble: preamble.map((record) => record.text),
    headerLine: layout.header.line,
    unitsLine: layout.units?.line ?? null,
    timeCandidates,
    firstRows: rows.slice(0, SHOWN_ROWS),
    findings: findOddities({ dialect, columns, layout, rows, preamble, marks, hasTime: timeCandidates.length > 0 }),
  };
}

/** Fields that at least half of the rows have, empty ones at their end (trailing delimiters) left out. */
function usualWidth(rows: readonly (readonly string[])[]): number {
  const widths = rows.map((row) => row.findLastIndex((cell) => cell !== '') + 1).sort((a, b) => a - b);
  return widths[widths.length >> 1] ?? 0;
}

function assertColumnCount(count: number, line: number): void {
  if (count <= MAX_COLUMNS) return;
  throw new LogFormatError('too_many_columns', {
    found: `${count} columns`,
    expected: `at most ${MAX_COLUMNS}`,
    position: { line },
  });
}

function countDecimalMarks(rows: readonly (readonly string[])[]): DecimalMarkCounts {
  const counts = { point: 0, comma: 0 };
  for (const cell of rows.flat()) {
    const kind = cellKind(cell);
    if (kind === 'pointNumber' && cell.includes('.')) counts.point++;
    if (kind === 'commaNumber') counts.comma++;
  }
  return counts;
}

function commentPrefixOf(layout: HeadLayout): string | null {
  const comment = layout.records.find((record) => record.kind === 'comment');
  return COMMENT_PREFIXES.find((prefix) => comment?.text.startsWith(prefix)) ?? null;
}
