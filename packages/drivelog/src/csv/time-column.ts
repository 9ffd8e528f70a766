import type { TimeFormat } from '../log-content.js';
import type { StartInstant } from '../log-reader.js';
import { isMissingText } from './cell-kind.js';
import type { DecimalMark } from './csv-dialect.js';
import type { FieldText } from './field-text.js';
import { MidnightUnwrapper, parseClock, parseIso8601 } from './parse-time.js';
import { numberReader } from './read-number.js';
import type { SlotPlan } from './row-scanner.js';

/** How the times of a log are read. Raw times go through the row scanner; a batch of them becomes seconds at once. */
export interface TimeColumn {
  readonly slot: SlotPlan;
  /** Raw times of consecutive good rows, in place, to seconds from the first row ever passed here. */
  toSeconds(rawTimes: Float64Array): void;
  startInstant(): StartInstant | null;
  midnightCrossings(): number;
}

const PER_SECOND = { seconds: 1, milliseconds: 1e3, microseconds: 1e6 } as const;
const SECONDS_PER_DAY = 86_400;

export function createTimeColumn(format: TimeFormat, text: FieldText, decimalMark: DecimalMark): TimeColumn {
  if (format === 'clock') return clockColumn(text);
  if (format === 'iso8601') return isoColumn(text);
  return numericColumn({ isNumeric: true, read: numberReader(text, decimalMark) }, PER_SECOND[format]);
}

/** The difference is taken before the division: counts of milliseconds or microseconds stay exact. */
function numericColumn(slot: SlotPlan, perSecond: number): TimeColumn {
  let first = NaN;
  return {
    slot,
    toSeconds(rawTimes) {
      if (Number.isNaN(first)) first = rawTimes[0] ?? NaN;
      for (let i = 0; i < rawTimes.length; i++) rawTimes[i] = (rawTimes[i] - first) / perSecond;
    },
    startInstant: () => null,
    midnightCrossings: () => 0,
  };
}

function clockColumn(text: FieldText): TimeColumn {
  const midnight = new MidnightUnwrapper();
  const seconds = numericColumn(textSlot(text, parseClock), 1);
  return {
    ...seconds,
    toSeconds(rawTimes) {
      for (let i = 0; i < rawTimes.length; i++) rawTimes[i] = midnight.unwrap(rawTimes[i]);
      seconds.toSeconds(rawTimes);
    },
    midnightCrossings: () => midnight.crossings,
  };
}

/** Raw time is seconds from midnight of the first day met, so that microseconds survive beside a count of years. */
function isoColumn(text: FieldText): TimeColumn {
  let firstDay: number | undefined;
  let hasZone = true;
  let firstRaw: number | undefined;
  const slot = textSlot(text, (bytes, start, end) => {
    const time = parseIso8601(bytes, start, end);
    if (time === undefined) return NaN;
    firstDay ??= time.day;
    hasZone &&= time.hasZone;
    return (time.day - firstDay) * SECONDS_PER_DAY + time.second;
  });
  const seconds = numericColumn(slot, 1);
  return {
    ...seconds,
    toSeconds(rawTimes) {
      firstRaw ??= rawTimes[0];
      seconds.toSeconds(rawTimes);
    },
    startInstant: () =>
      firstDay === undefined || firstRaw === undefined
        ? null
        : { utcMs: Math.round((firstDay * SECONDS_PER_DAY + firstRaw) * 1000), hasZone },
  };
}

/** `parse` answers NaN for what it cannot read; only then the text is looked at. */
function textSlot(text: FieldText, parse: (bytes: Uint8Array, start: number, end: number) => number): SlotPlan {
  return {
    isNumeric: false,
    read(bytes, start, end) {
      const value = parse(bytes, start, trimmedEnd(bytes, start, end));
      if (!Number.isNaN(value)) return value;
      return isMissingText(text.decode(bytes, start, end)) ? NaN : undefined;
    },
  };
}

function trimmedEnd(bytes: Uint8Array, start: number, end: number): number {
  let trimmed = end;
  while (trimmed > start && bytes[trimmed - 1] <= 32) trimmed--;
  return trimmed;
}
