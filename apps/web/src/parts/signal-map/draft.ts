import type { Inspection, SignalMapDocument } from '@syncline/contract';
import { SIGNAL_TERMS, type SignalTerm } from '../../format/signals.js';
import { codesText, parseCodes } from './codes.js';

/** Enough values to recognise a column by. */
const SHOWN_VALUES = 4;

type TimeFormat = SignalMapDocument['time']['format'];
type MappedSignal = SignalMapDocument['signals'][number];

/** A signal map while a person works on it: every signal has a row, unmapped ones hold null. */
export interface SignalMapDraft {
  readonly timeColumn: string | null;
  readonly timeFormat: TimeFormat;
  readonly columns: Readonly<Record<string, Omit<MappedSignal, 'signal'> | null>>;
  /** What stands in the field of codes, as it is typed; signals without any are left out. */
  readonly codeTexts: Readonly<Record<string, string>>;
}

export const TIME_FORMAT_WORDS: Record<TimeFormat, string> = {
  seconds: 'Seconds',
  milliseconds: 'Milliseconds',
  microseconds: 'Microseconds',
  iso8601: 'Date and time (ISO 8601)',
  clock: 'Clock time (hh:mm:ss)',
};

/**
 * Where the work on a file starts: with the saved map of the car if this file has all of its columns, else with what
 * the reader suggests for this file.
 */
export function startingMap(saved: SignalMapDocument | null, inspection: Inspection): SignalMapDocument | null {
  if (saved === null) return inspection.suggestion;
  const known = new Set(inspection.columns.map(({ name }) => name));
  const isFitting = [saved.time, ...saved.signals].every(({ column }) => known.has(column));
  return isFitting ? saved : inspection.suggestion;
}

/** Opens a map for work; null gives a draft without any column. */
export function toDraft(map: SignalMapDocument | null): SignalMapDraft {
  const columns: Record<string, Omit<MappedSignal, 'signal'> | null> = {};
  const codeTexts: Record<string, string> = {};
  for (const { id } of SIGNAL_TERMS) {
    const found = map?.signals.find((entry) => entry.signal === id);
    if (found === undefined) columns[id] = null;
    else {
      const { signal: _id, ...mapped } = found;
      columns[id] = mapped;
      if (mapped.codes !== undefined) codeTexts[id] = codesText(mapped.codes);
    }
  }
  return { timeColumn: map?.time.column ?? null, timeFormat: map?.time.format ?? 'seconds', columns, codeTexts };
}

/** What is still missing, in words; empty when the draft can be saved. */
export function draftFaults(draft: SignalMapDraft): string[] {
  const faults = draft.timeColumn === null ? ['Choose the column that holds the time.'] : [];
  for (const { id, title, isNeeded } of SIGNAL_TERMS) {
    if (isNeeded && !draft.columns[id]) faults.push(`Choose the column that holds ${title.toLowerCase()}.`);
    if (draft.columns[id] && parseCodes(draft.codeTexts[id] ?? '') === undefined) {
      faults.push(`Write the codes of ${title.toLowerCase()} as “14 = -1, 13 = none”.`);
    }
  }
  return faults;
}

/** The document to save; undefined while something is missing. */
export function toSignalMap(draft: SignalMapDraft): SignalMapDocument | undefined {
  if (draft.timeColumn === null || draftFaults(draft).length > 0) return undefined;
  const signals = Object.entries(draft.columns).flatMap(([signal, mapped]) =>
    mapped === null ? [] : [{ signal, ...mapped }],
  );
  return { time: { column: draft.timeColumn, format: draft.timeFormat }, signals };
}

/**
 * Units to choose from: those that the signal is known in, and the one of the header as it is written there, which the
 * reader may know by another spelling.
 */
export function unitChoices(signal: SignalTerm, headerUnit: string | null): string[] {
  if (headerUnit === null || headerUnit === '' || signal.units.length === 1) return [...signal.units];
  const isKnown = signal.units.some((unit) => unit.toLowerCase() === headerUnit.toLowerCase());
  return isKnown ? [...signal.units] : [...signal.units, headerUnit];
}

/** Puts a column on a signal. Its unit is that of the header; without one, the usual unit of the signal. */
export function withColumn(
  draft: SignalMapDraft,
  { signal, column, inspection }: { signal: SignalTerm; column: string | null; inspection: Inspection },
): SignalMapDraft {
  const { [signal.id]: _text, ...codeTexts } = draft.codeTexts;
  if (column === null) return { ...draft, codeTexts, columns: { ...draft.columns, [signal.id]: null } };
  const written = headerUnit(inspection, column);
  const choices = unitChoices(signal, written);
  const unit = choices.find((known) => known.toLowerCase() === written?.toLowerCase()) ?? (choices[0] as string);
  return { ...draft, codeTexts, columns: { ...draft.columns, [signal.id]: { column, unit } } };
}

/** Takes codes as they are typed; those that cannot be read yet leave the ones of before and are a fault. */
export function withCodes(draft: SignalMapDraft, signalId: string, text: string): SignalMapDraft {
  const mapped = draft.columns[signalId];
  const codes = parseCodes(text);
  const codeTexts = { ...draft.codeTexts, [signalId]: text };
  if (!mapped || codes === undefined) return { ...draft, codeTexts };
  const { codes: _codes, ...plain } = mapped;
  const entry = Object.keys(codes).length === 0 ? plain : { ...plain, codes };
  return { ...draft, codeTexts, columns: { ...draft.columns, [signalId]: entry } };
}

export function headerUnit(inspection: Inspection, column: string): string | null {
  return inspection.columns.find((entry) => entry.name === column)?.unit ?? null;
}

/** The first values of a column as they stand in the file. */
export function firstValues(inspection: Inspection, column: string | null): string[] {
  const index = inspection.columns.findIndex((entry) => entry.name === column);
  return index < 0 ? [] : inspection.firstRows.slice(0, SHOWN_VALUES).map((row) => row[index] ?? '');
}
