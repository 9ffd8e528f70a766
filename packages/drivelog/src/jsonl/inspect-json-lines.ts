import { nameColumns } from '../csv/column-names.js';
import { MAX_COLUMNS } from '../csv/csv-dialect.js';
import { findTimeColumns } from '../csv/find-time-column.js';
import { LineSplitter } from '../line-splitter.js';
import type { InspectionFinding, LogContent } from '../log-content.js';
import { LogFormatError } from '../log-format-error.js';
import { recogniseFormat, refusalOf } from '../recognise-format.js';
import { isFlat, type LineObject, parseLine, withoutMark } from './flat-object.js';

/** What was understood of JSON lines. The keys of the first lines are its columns. */
export interface JsonLinesInspection extends LogContent {
  readonly format: 'jsonLines';
}

const MAX_HEAD_BYTES = 1 << 18;
const HEAD_LINES = 200;
const SHOWN_ROWS = 10;

/**
 * Understands JSON lines (one flat object per line) from their first bytes. A key is a column when it holds numbers,
 * texts, truth values or null. Throws LogFormatError when no line holds an object with two such keys.
 */
export function inspectJsonLines(firstBytes: Uint8Array): JsonLinesInspection {
  const recognised = recogniseFormat(firstBytes);
  if (recognised.format !== 'jsonLines') throw refusalOf(recognised);
  const objects = headObjects(firstBytes);
  const nested = new Set<string>();
  const keys = new Set<string>();
  for (const object of objects) {
    for (const [key, value] of Object.entries(object)) {
      if (!isFlat(value)) nested.add(key);
      else if (key !== '') keys.add(key);
    }
  }
  for (const key of nested) keys.delete(key);
  assertKeys(keys.size, objects.length);
  const names = [...keys];
  const columns = nameColumns(names, [], names.length);
  const rows = objects.map((object) => names.map((name) => cellText(object, name)));
  const timeCandidates = findTimeColumns(columns, rows, Number);
  const findings: InspectionFinding[] = [];
  if (nested.size > 0) {
    const message = `Not read, since their values are lists or objects: ${[...nested]
      .slice(0, 20)
      .map((key) => `“${key}”`)
      .join(', ')}.`;
    findings.push({ code: 'nested_values', message });
  }
  if (timeCandidates.length === 0) findings.push({ code: 'no_time_column', message: 'No key looks like the time.' });
  return { format: 'jsonLines', columns, timeCandidates, firstRows: rows.slice(0, SHOWN_ROWS), findings };
}

function headObjects(firstBytes: Uint8Array): LineObject[] {
  const objects: LineObject[] = [];
  const decoder = new TextDecoder();
  const lines = new LineSplitter((bytes, start, end) => {
    if (objects.length >= HEAD_LINES) return;
    const object = parseLine(withoutMark(decoder.decode(bytes.subarray(start, end))));
    if (object !== undefined) objects.push(object);
  });
  lines.push(firstBytes.subarray(0, MAX_HEAD_BYTES));
  lines.end();
  return objects;
}

function assertKeys(keyCount: number, objectCount: number): void {
  if (keyCount > MAX_COLUMNS) {
    throw new LogFormatError('too_many_columns', { found: `${keyCount} keys`, expected: `at most ${MAX_COLUMNS}` });
  }
  if (keyCount >= 2) return;
  throw new LogFormatError('json_lines', {
    found: `${objectCount} objects at the beginning, with ${keyCount} keys that hold plain values`,
    expected: 'lines such as {"time": 0.01, "turbine_rpm": 1450.5}',
  });
}

function cellText(object: LineObject, name: string): string {
  const value = Object.hasOwn(object, name) ? object[name] : null;
  return typeof value === 'string' ? value : value === null ? '' : JSON.stringify(value);
}
