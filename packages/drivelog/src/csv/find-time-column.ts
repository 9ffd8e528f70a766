import { CONFIDENCES, type Confidence } from '../confidence.js';
import type { LogColumn, TimeCandidate, TimeFormat } from '../log-content.js';
import { findUnit } from '../units.js';
import { cellKind } from './cell-kind.js';

/** The name says time and nothing else, so that “shift time” or “time in gear” do not qualify. */
const TIME_NAME =
  /^(?:t|ts|time|zeit|timestamp|time ?stamp|zeitstempel|uhrzeit|datetime|date ?time|clock|elapsed|elapsed time|rel(?:ative)? time|abs(?:olute)? time|log ?time|messzeit|seconds|secs|sec|sekunden|millis|ms|us|epoch)$/;
const TIME_WORD = /\b(?:time|zeit|timestamp|secs?|seconds|millis|sekunden)\b/;

const FORMAT_OF_UNIT: Record<string, TimeFormat> = { s: 'seconds', ms: 'milliseconds', µs: 'microseconds' };

/** Share of the first cells that must read as time; the others may be a repeated header or damage. */
const MIN_READABLE_SHARE = 0.6;

/** Seconds since 1970 of the years 2001 to 2286; in milliseconds and microseconds a thousand times more each. */
const EPOCH_SECONDS = { min: 1e9, max: 1e10 };

/** Whole numbers that step by less are seconds: no gearbox log has more than 200 samples a second. */
const SHORTEST_STEP_MS = 5;

/** The columns that may be the time axis, likeliest first. `rows` are the first data rows, cells trimmed. */
export function findTimeColumns(
  columns: readonly LogColumn[],
  rows: readonly (readonly string[])[],
  toNumber: (text: string) => number,
): TimeCandidate[] {
  const candidates = columns.flatMap((column) => {
    const cells = rows.map((row) => row[column.index] ?? '').filter((cell) => cellKind(cell) !== 'missing');
    const candidate = writtenTime(column, cells) ?? numericTime(column, cells.map(toNumber));
    return candidate === undefined ? [] : [candidate];
  });
  return candidates.sort((a, b) => CONFIDENCES.indexOf(a.confidence) - CONFIDENCES.indexOf(b.confidence));
}

function writtenTime(column: LogColumn, cells: readonly string[]): TimeCandidate | undefined {
  for (const format of ['iso8601', 'clock'] as const) {
    const share = cells.filter((cell) => cellKind(cell) === format).length / cells.length;
    if (!(share >= MIN_READABLE_SHARE)) continue;
    const what = format === 'clock' ? 'clock times' : 'ISO 8601 dates with time';
    return { column: column.name, format, confidence: 'high', reason: `holds ${what}, such as ${cells[0]}` };
  }
  return undefined;
}

function numericTime(column: LogColumn, cells: readonly number[]): TimeCandidate | undefined {
  const values = cells.filter(Number.isFinite);
  if (values.length === 0 || values.length < MIN_READABLE_SHARE * cells.length) return undefined;
  const name = words(column.label);
  const isNamed = TIME_NAME.test(name);
  const hasWord = TIME_WORD.test(name);
  const isRising = values.every((value, i) => value >= (values[i - 1] ?? -Infinity));
  const isFirstAndRising = column.index === 0 && isRising && values.length > 2;
  if (!isNamed && !hasWord && !isFirstAndRising) return undefined;

  const stated = FORMAT_OF_UNIT[findUnit(column.unit ?? '')?.id ?? ''] ?? FORMAT_OF_UNIT[findUnit(name)?.id ?? ''];
  const format = stated ?? formatBySize(values);
  const unitReason = stated === undefined ? `unit assumed from its size: ${format}` : `in ${format}`;
  const candidate = (confidence: Confidence, nameReason: string): TimeCandidate => {
    return { column: column.name, format, confidence, reason: `${nameReason}, ${unitReason}` };
  };
  if (isNamed) return candidate(stated === undefined ? 'medium' : 'high', 'named time');
  if (hasWord) return candidate(isRising ? 'medium' : 'low', 'its name speaks of time');
  return candidate('low', 'first column and rising');
}

/** Unit of a numeric time that states none: by its size if it counts from 1970, else by its steps. */
function formatBySize(values: readonly number[]): TimeFormat {
  const first = values[0] ?? 0;
  if (first >= EPOCH_SECONDS.min && first < EPOCH_SECONDS.max) return 'seconds';
  if (first >= EPOCH_SECONDS.min * 1e3 && first < EPOCH_SECONDS.max * 1e3) return 'milliseconds';
  if (first >= EPOCH_SECONDS.min * 1e6 && first < EPOCH_SECONDS.max * 1e6) return 'microseconds';
  const steps = values.slice(1).map((value, i) => value - (values[i] ?? value));
  const positive = steps.filter((step) => step > 0).sort((a, b) => a - b);
  const step = positive[positive.length >> 1] ?? 1;
  if (!values.every(Number.isInteger) || step < SHORTEST_STEP_MS) return 'seconds';
  return step < 1000 ? 'milliseconds' : 'microseconds';
}

function words(label: string): string {
  return label
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .replace(/[^a-zäöüß0-9µ]+/g, ' ')
    .trim();
}
