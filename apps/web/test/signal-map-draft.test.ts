import type { Inspection, SignalMapDocument } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { SIGNAL_TERMS, type SignalTerm } from '../src/format/signals.js';
import { parseCodes } from '../src/parts/signal-map/codes.js';
import {
  draftFaults,
  startingMap,
  toDraft,
  toSignalMap,
  unitChoices,
  withCodes,
  withColumn,
} from '../src/parts/signal-map/draft.js';

const inspection: Inspection = {
  format: 'csv',
  delimiter: ';',
  decimalMark: ',',
  columns: [
    { name: 't', unit: 's' },
    { name: 'n_in', unit: '1/min' },
    { name: 'n_out', unit: 'RPM' },
    { name: 'oil', unit: null },
  ],
  firstRows: [['0,00', '812,5', '0,0', '78,2']],
  suggestion: null,
  reasons: [],
};
const saved: SignalMapDocument = {
  time: { column: 't', format: 'seconds' },
  signals: [
    { signal: 'inputSpeed', column: 'n_in', unit: 'rpm', factor: 2 },
    { signal: 'outputSpeed', column: 'n_out', unit: 'rpm' },
  ],
};
const signal = (id: string) => SIGNAL_TERMS.find((term) => term.id === id) as SignalTerm;

describe('a signal map in work', () => {
  it('comes back as it was when nothing is altered, own conversions included', () => {
    expect(toSignalMap(toDraft(saved))).toEqual(saved);
  });

  it('starts with the saved map where the file has its columns, else with the suggestion for the file', () => {
    const suggestion: SignalMapDocument = { time: { column: 't', format: 'seconds' }, signals: [] };
    const other = { ...inspection, columns: [{ name: 't', unit: null }], suggestion };
    expect(startingMap(saved, inspection)).toBe(saved);
    expect(startingMap(saved, other)).toBe(suggestion);
    expect(startingMap(null, other)).toBe(suggestion);
  });

  it('names what is missing and cannot be saved before', () => {
    const draft = toDraft(null);
    expect(draftFaults(draft)).toEqual([
      'Choose the column that holds the time.',
      'Choose the column that holds input speed.',
      'Choose the column that holds output speed.',
    ]);
    expect(toSignalMap(draft)).toBeUndefined();
  });

  it.each([
    ['inputSpeed', 'n_in', '1/min'],
    ['outputSpeed', 'n_out', 'rpm'],
    ['fluidTemperature', 'oil', '°C'],
    ['gear', 'n_in', ''],
  ])('%s from column %s starts with the unit %j', (id, column, unit) => {
    const draft = withColumn(toDraft(null), { signal: signal(id), column, inspection });
    expect(draft.columns[id]).toEqual({ column, unit });
  });

  it('offers the unit of the header beside the known ones, once', () => {
    expect(unitChoices(signal('inputSpeed'), '1/min')).toEqual(['rpm', 'rad/s', 'Hz', '1/min']);
    expect(unitChoices(signal('inputSpeed'), 'RPM')).toEqual(['rpm', 'rad/s', 'Hz']);
  });

  it('forgets a column that is taken away', () => {
    const draft = withColumn(toDraft(saved), { signal: signal('outputSpeed'), column: null, inspection });
    expect(draft.columns['outputSpeed']).toBeNull();
  });
});

describe('codes of a state', () => {
  const gear = { signal: 'gear', column: 'oil', unit: '', codes: { '14': -1, '13': null, D: null } };
  const withGear: SignalMapDocument = { ...saved, signals: [...saved.signals, gear] };

  it('come back as they were, and are shown as a person writes them', () => {
    const draft = toDraft(withGear);
    expect(draft.codeTexts['gear']).toBe('13 = none, 14 = -1, D = none');
    expect(toSignalMap(draft)?.signals.find((entry) => entry.signal === 'gear')).toEqual(gear);
  });

  it.each([
    ['14=-1; 13 = NONE', { '14': -1, '13': null }],
    ['R = -1', { R: -1 }],
    ['   ', {}],
    ['14', undefined],
    ['14 = reverse', undefined],
    ['14 = 1, 14 = 2', undefined],
    ['= 3', undefined],
  ])('%j is read as %j', (text, codes) => {
    expect(parseCodes(text)).toEqual(codes);
  });

  it('that cannot be read keep the map from being saved, and are forgotten with their column', () => {
    const typed = withCodes(toDraft(withGear), 'gear', '14 =');
    expect(draftFaults(typed)).toEqual(['Write the codes of gear as “14 = -1, 13 = none”.']);
    expect(toSignalMap(typed)).toBeUndefined();
    const moved = withColumn(typed, { signal: signal('gear'), column: 'n_in', inspection });
    expect(toSignalMap(moved)?.signals.find((entry) => entry.signal === 'gear')).toEqual({
      signal: 'gear',
      column: 'n_in',
      unit: '',
    });
  });

  it('that are taken away leave no codes behind', () => {
    const emptied = withCodes(toDraft(withGear), 'gear', '');
    expect(toSignalMap(emptied)?.signals.find((entry) => entry.signal === 'gear')).toEqual({
      signal: 'gear',
      column: 'oil',
      unit: '',
    });
  });
});
