import { LogFormatError } from '../log-format-error.js';
import { cellKind, isDataKind } from './cell-kind.js';
import { isUnitsRow } from './column-names.js';
import { COMMENT_PREFIXES, type CsvDelimiter } from './csv-dialect.js';
import { type HeadRecord, splitHead } from './split-head.js';

/** Where header, units and data stand at the top of a file, read with one delimiter. */
export interface HeadLayout {
  readonly delimiter: CsvDelimiter;
  readonly records: readonly HeadRecord[];
  readonly header: HeadRecord;
  /** Header cells up to the last named one. */
  readonly headerCells: readonly string[];
  readonly units: HeadRecord | null;
  /** What stands below header and units: data rows, some of them perhaps damaged. */
  readonly rows: readonly [HeadRecord, ...HeadRecord[]];
}

/** Enough to be sure, little enough to be quick. */
const MAX_HEAD_RECORDS = 200;
/** One of the first rows below the header must be data; others may be torn. */
const MAX_ROWS_TO_DATA = 5;
const DELIMITERS: readonly CsvDelimiter[] = ['\t', ';', ','];

/**
 * Finds header and data under the delimiter that makes most cells read as numbers or times in rows of equal length.
 * A decimal comma taken for a delimiter leaves cells such as `5;1`, so it loses by itself.
 */
export function findLayout(
  text: string,
  lineEnd: '\n' | '\r',
  choice: { readonly delimiter?: CsvDelimiter | undefined; readonly headerLine?: number | undefined },
): HeadLayout {
  const delimiters = choice.delimiter === undefined ? DELIMITERS : [choice.delimiter];
  const tables = delimiters.map((delimiter) =>
    readTable(delimiter, splitHead(text, delimiter, lineEnd, MAX_HEAD_RECORDS)),
  );
  const best = tables.reduce((a, b) => (b.score > a.score || (b.score === a.score && b.width > a.width) ? b : a));
  if (best.width < 2) {
    throw new LogFormatError('no_delimiter', {
      found: `lines such as “${text.slice(0, 60).split(/\r|\n/)[0]}”`,
      expected: 'at least two columns, of which one is time',
      position: { line: 1 },
    });
  }
  return locateHeader(best, lineEnd, choice.headerLine);
}

interface Table {
  readonly delimiter: CsvDelimiter;
  readonly records: readonly HeadRecord[];
  /** Usual number of fields in a row. */
  readonly width: number;
  /** 0..1: share of rows of usual width times share of their cells that read as data. */
  readonly score: number;
}

function readTable(delimiter: CsvDelimiter, records: readonly HeadRecord[]): Table {
  const rows = records.filter((record) => record.kind === 'fields');
  const width = mostFrequent(rows.slice(rows.length >> 1).map((row) => row.fields.length));
  const even = rows.filter((row) => row.fields.length === width);
  const dataRows = even.filter((row) => isDataRow(row, width));
  const kinds = dataRows.flatMap((row) => row.fields.map(cellKind)).filter((kind) => kind !== 'missing');
  const share = kinds.length === 0 ? 0 : kinds.filter(isDataKind).length / kinds.length;
  return { delimiter, records, width, score: width < 2 ? 0 : (share * even.length) / rows.length };
}

/** The first row of names above data; where rows of data come before it, names in a comment above those go first. */
function locateHeader(table: Table, lineEnd: '\n' | '\r', headerLine: number | undefined): HeadLayout {
  const filled = table.records.filter((record) => record.kind !== 'blank');
  const firstData = filled.find((record) => isDataRow(record, table.width));
  const plain = headerInRow(table, filled, headerLine);
  if (plain !== undefined && (headerLine !== undefined || plain.header.line < (firstData?.line ?? 0))) return plain;
  return headerInComment(table, filled, lineEnd) ?? plain ?? refuse(table, filled);
}

function headerInRow(
  table: Table,
  filled: readonly HeadRecord[],
  headerLine: number | undefined,
): HeadLayout | undefined {
  for (const [i, header] of filled.entries()) {
    if (headerLine === undefined ? !isHeaderRow(header, table.width) : header.line !== headerLine) continue;
    const layout = layoutFrom(table, header, header.fields, filled.slice(i + 1));
    if (layout !== undefined) return layout;
  }
  return undefined;
}

function layoutFrom(
  table: Table,
  header: HeadRecord,
  cells: readonly string[],
  following: readonly HeadRecord[],
): HeadLayout | undefined {
  const below = following.filter((record) => record.kind === 'fields');
  const units =
    below[0] !== undefined && !isDataRow(below[0], table.width) && isUnitsRow(below[0].fields) ? below[0] : null;
  const [first, ...rest] = units === null ? below : below.slice(1);
  if (first === undefined) return undefined;
  if (![first, ...rest].slice(0, MAX_ROWS_TO_DATA).some((row) => isDataRow(row, table.width))) return undefined;
  const namedCount = cells.findLastIndex((cell) => cell !== '') + 1;
  return {
    delimiter: table.delimiter,
    records: table.records,
    header,
    headerCells: cells.slice(0, namedCount),
    units,
    rows: [first, ...rest],
  };
}

/** Some loggers put the names into the last comment above the data: `# time,rpm`. */
function headerInComment(table: Table, filled: readonly HeadRecord[], lineEnd: '\n' | '\r'): HeadLayout | undefined {
  const dataIndex = filled.findIndex((record) => isDataRow(record, table.width));
  const comment = filled[dataIndex - 1];
  if (comment?.kind !== 'comment') return undefined;
  const prefix = COMMENT_PREFIXES.find((text) => comment.text.startsWith(text)) ?? '';
  const cells = splitHead(comment.text.slice(prefix.length).trim(), table.delimiter, lineEnd, 1)[0]?.fields ?? [];
  return isHeaderRow({ kind: 'fields', fields: cells }, table.width)
    ? layoutFrom(table, comment, cells, filled.slice(dataIndex))
    : undefined;
}

function refuse(table: Table, filled: readonly HeadRecord[]): never {
  const data = filled.find((record) => isDataRow(record, table.width));
  if (data === undefined) {
    throw new LogFormatError('no_data_rows', {
      found: `${filled.length} line(s) without a row of numbers`,
      expected: 'a header row followed by rows of numbers',
    });
  }
  throw new LogFormatError('no_header', {
    found: `a row of numbers, “${data.text.slice(0, 60)}”, without a row of names above it`,
    expected: 'a header row that names the columns',
    position: { line: data.line },
  });
}

/** Names: nearly no cell reads as data. A header may be shorter than the rows, but not by half. */
function isHeaderRow(record: Pick<HeadRecord, 'kind' | 'fields'>, width: number): boolean {
  if (record.kind !== 'fields' || record.fields.length < Math.max(2, width / 2)) return false;
  const kinds = record.fields.map(cellKind).filter((kind) => kind !== 'missing');
  return kinds.length >= 2 && kinds.filter(isDataKind).length <= kinds.length / 5;
}

function isDataRow(record: Pick<HeadRecord, 'kind' | 'fields'>, width: number): boolean {
  if (record.kind !== 'fields' || record.fields.length < Math.max(2, width * 0.8)) return false;
  const kinds = record.fields.map(cellKind).filter((kind) => kind !== 'missing');
  return kinds.length > 0 && kinds.filter(isDataKind).length >= kinds.length / 2;
}

function mostFrequent(values: readonly number[]): number {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  let best = 0;
  for (const [value, count] of counts) if (count > (counts.get(best) ?? 0)) best = value;
  return best;
}
