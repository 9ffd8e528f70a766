/** What a cell of a CSV file looks like. */
export type CellKind = 'missing' | 'integer' | 'pointNumber' | 'commaNumber' | 'clock' | 'iso8601' | 'text';

/** Texts that stand for “no value”, in lower case. Everything else that is not a number is damage. */
const MISSING_TEXTS: ReadonlySet<string> = new Set([
  '',
  'nan',
  'null',
  'none',
  'nil',
  'n/a',
  'na',
  '#n/a',
  '-',
  '--',
  '---',
]);

/** Whether a cell says that there is no value. */
export function isMissingText(text: string): boolean {
  return text.length <= 5 && MISSING_TEXTS.has(text.toLowerCase());
}

const CLOCK_PATTERN = /^\d{1,2}:\d{2}:\d{2}(?:[.,]\d+)?$/;
const ISO_PATTERN = /^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s?(?:Z|[+-]\d{2}(?::?\d{2})?)?$/i;

/** Kind of a trimmed cell. `1.234,5` and `1,234.5` are text: grouping of thousands is not read. */
export function cellKind(text: string): CellKind {
  if (isMissingText(text)) return 'missing';
  if (/^[+-]?\d+$/.test(text)) return 'integer';
  if (/^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i.test(text)) return 'pointNumber';
  if (/^[+-]?(?:\d+,\d*|,\d+)(?:e[+-]?\d+)?$/i.test(text)) return 'commaNumber';
  if (CLOCK_PATTERN.test(text)) return 'clock';
  return ISO_PATTERN.test(text) ? 'iso8601' : 'text';
}

/** Whether a cell can belong to a row of data. */
export function isDataKind(kind: CellKind): boolean {
  return kind !== 'text' && kind !== 'missing';
}
