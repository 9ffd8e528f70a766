import type { LogColumn } from '../log-content.js';
import type { SignalPlan } from '../plan-signals.js';
import { stateReader } from '../read-state.js';
import { findUnit } from '../units.js';
import type { DecimalMark } from './csv-dialect.js';
import type { FieldText } from './field-text.js';
import { numberReader } from './read-number.js';
import { type FieldReader, type RowPlan, type SlotPlan, UNUSED_COLUMN } from './row-scanner.js';

/** Lays out the slots of a row: time first, then the signals in the order of the map. */
export function planRows(
  columns: readonly LogColumn[],
  timeColumn: string,
  time: SlotPlan,
  signals: readonly SignalPlan[],
  fields: { readonly text: FieldText; readonly decimalMark: DecimalMark },
): RowPlan {
  const slotOfColumn = new Int16Array(columns.length).fill(UNUSED_COLUMN);
  const slotNames = [timeColumn, ...signals.map((plan) => plan.entry.column)];
  for (const column of columns) {
    const slot = slotNames.indexOf(column.name);
    if (slot >= 0) slotOfColumn[column.index] = slot;
  }
  const readNumber = numberReader(fields.text, fields.decimalMark);
  const signalSlots = signals.map(({ entry }): SlotPlan => {
    if (findUnit(entry.unit)?.quantity !== 'state') return { isNumeric: true, read: readNumber };
    const readState = stateReader(entry.signal, entry.codes ?? {});
    const read: FieldReader = (bytes, start, end) => readState(fields.text.decode(bytes, start, end));
    return { isNumeric: entry.codes === undefined, read };
  });
  return { slotOfColumn, slots: [time, ...signalSlots] };
}
