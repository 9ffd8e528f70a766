/** One cell: text is quoted where needed, and one that a spreadsheet would take for a formula gets an apostrophe. */
function csvCell(value: string | number | boolean | null): string {
  if (value === null || (typeof value === 'number' && Number.isNaN(value))) return '';
  if (typeof value !== 'string') return String(value);
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** One line of RFC 4180. Numbers are in full precision with a point. */
export function csvLine(cells: readonly (string | number | boolean | null)[]): string {
  return `${cells.map(csvCell).join(',')}\r\n`;
}

/** Header that makes a browser save the answer under this name. */
export function attachment(fileName: string): string {
  const plain = fileName.replace(/[^\x20-\x7e]|["\\]/g, '_');
  return `attachment; filename="${plain}"; filename*=UTF-8''${encodeURIComponent(fileName)}`;
}

/** A file name that says what was asked for: `shifts kind=3-4 grade=flare.csv`. */
export function fileNameOf(what: string, filter: Readonly<Record<string, string | number | undefined>>): string {
  const parts = Object.entries(filter).flatMap(([name, value]) => (value === undefined ? [] : [`${name}=${value}`]));
  return `${[what, ...parts].join(' ').replace(/[/\\:*?"<>|]/g, '_')}.csv`;
}
