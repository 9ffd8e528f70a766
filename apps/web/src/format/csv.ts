type CsvCell = string | number | null;

/** One column of a download: the unit stands in the header, the cell gives the value in full precision. */
export interface CsvColumn<Row> {
  readonly header: string;
  readonly cell: (row: Row) => CsvCell;
}

/**
 * CSV by RFC 4180 with a header row: point as decimal mark, empty cell for a missing value. Text that a spreadsheet
 * would run as a formula gets a leading apostrophe; numbers are untouched.
 */
export function toCsv<Row>(columns: readonly CsvColumn<Row>[], rows: readonly Row[]): string {
  const lines = [columns.map((column) => csvField(column.header))];
  for (const row of rows) lines.push(columns.map((column) => csvField(column.cell(row))));
  return `${lines.map((line) => line.join(',')).join('\r\n')}\r\n`;
}

function csvField(value: CsvCell): string {
  if (value === null) return '';
  if (typeof value === 'number') return Number.isFinite(value) ? String(value) : '';
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** A file name that says what was downloaded: parts joined by hyphens, empty ones left out. */
export function csvFileName(...parts: (string | number | null | undefined)[]): string {
  const words = parts
    .filter((part) => part !== null && part !== undefined && part !== '')
    .map((part) => String(part).replace(/[^\p{L}\p{N}._-]+/gu, '-'));
  return `${['syncline', ...words].join('-')}.csv`;
}
