import { COMMENT_PREFIXES, type CsvDelimiter } from './csv-dialect.js';

/** One record at the top of a file, split into trimmed fields. Comments and blank lines are records too. */
export interface HeadRecord {
  readonly kind: 'fields' | 'comment' | 'blank';
  /** The record as written, without its line end. */
  readonly text: string;
  readonly fields: readonly string[];
  readonly line: number;
  /** Index in the decoded text. */
  readonly start: number;
  readonly end: number;
}

/**
 * Splits the beginning of a file into records by RFC 4180: fields in double quotes may hold delimiters, line ends and
 * doubled quotes. The last record is left out when it has no line end and others are there: it may be cut.
 */
export function splitHead(
  text: string,
  delimiter: CsvDelimiter,
  lineEnd: '\n' | '\r',
  maxRecords: number,
): HeadRecord[] {
  const records: HeadRecord[] = [];
  let start = 0;
  let line = 1;
  while (start < text.length && records.length < maxRecords) {
    const record = splitRecord(text, start, line, delimiter, lineEnd);
    if (record.end === text.length && records.length > 2) break;
    records.push(record);
    line += 1 + countOf(lineEnd, record.text);
    start = record.end + 1;
  }
  return records;
}

function splitRecord(text: string, start: number, line: number, delimiter: string, lineEnd: string): HeadRecord {
  const physicalEnd = endOfLine(text, start, lineEnd);
  const firstLine = text.slice(start, physicalEnd).trim();
  if (firstLine === '') return { kind: 'blank', text: '', fields: [], line, start, end: physicalEnd };
  if (COMMENT_PREFIXES.some((prefix) => firstLine.startsWith(prefix))) {
    return { kind: 'comment', text: firstLine, fields: [], line, start, end: physicalEnd };
  }
  const fields: string[] = [];
  let position = start;
  for (;;) {
    const field = readField(text, position, delimiter, lineEnd);
    fields.push(field.value);
    position = field.end;
    if (text[position] !== delimiter) break;
    position++;
  }
  return { kind: 'fields', text: text.slice(start, position).replace(/\r$/, ''), fields, line, start, end: position };
}

/** A field from `start` to the delimiter, line end or end of text. */
function readField(text: string, start: number, delimiter: string, lineEnd: string): { value: string; end: number } {
  let position = start;
  while (text[position] === ' ') position++;
  if (text[position] === '"') {
    const quoted = readQuoted(text, position, delimiter, lineEnd);
    if (quoted !== undefined) return quoted;
  }
  while (position < text.length && text[position] !== delimiter && text[position] !== lineEnd) position++;
  return { value: text.slice(start, position).trim(), end: position };
}

function readQuoted(
  text: string,
  start: number,
  delimiter: string,
  lineEnd: string,
): { value: string; end: number } | undefined {
  let close = text.indexOf('"', start + 1);
  while (close !== -1 && text[close + 1] === '"') close = text.indexOf('"', close + 2);
  if (close === -1) return undefined;
  let end = close + 1;
  while (text[end] === ' ' || (text[end] === '\r' && lineEnd === '\n')) end++;
  if (end < text.length && text[end] !== delimiter && text[end] !== lineEnd) return undefined;
  return {
    value: text
      .slice(start + 1, close)
      .replaceAll('""', '"')
      .trim(),
    end,
  };
}

function endOfLine(text: string, start: number, lineEnd: string): number {
  const end = text.indexOf(lineEnd, start);
  return end === -1 ? text.length : end;
}

function countOf(part: string, text: string): number {
  return text.split(part).length - 1;
}
