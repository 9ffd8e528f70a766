import type { LogColumn } from '../log-content.js';
import { LogFormatError } from '../log-format-error.js';
import { checkSignalMap, type MappedSignal, type SignalMap } from '../signal-map.js';
import { conversionToSignal, findUnit, type LinearConversion, type RoadToShaft } from '../units.js';
import type { DecimalMark } from './csv-dialect.js';
import type { FieldText } from './field-text.js';
import { numberReader } from './read-number.js';
import { stateReader } from './read-state.js';
import { type FieldReader, type RowPlan, type SlotPlan, UNUSED_COLUMN } from './row-scanner.js';

/** What the reader does with each mapped signal: slot i + 1 of the rows, then this conversion. */
export interface SignalPlan {
  readonly entry: MappedSignal;
  /** To the canonical unit; null when the numbers are so already. */
  readonly conversion: LinearConversion | null;
}

/** Columns that an error names. */
const SHOWN_COLUMNS = 12;

/** Turns a signal map into what the row scanner needs. Throws LogFormatError when map and file do not fit. */
export function planSignals(
  map: SignalMap,
  columns: readonly LogColumn[],
  roadToShaft: RoadToShaft | undefined,
): SignalPlan[] {
  const faults = checkSignalMap(map, { columns }, roadToShaft).filter((problem) => problem.severity === 'error');
  if (faults.length > 0) {
    const names = columns.slice(0, SHOWN_COLUMNS).map((column) => `“${column.name}”`);
    const hasTime = faults.every((fault) => fault.code !== 'time_column_absent');
    throw new LogFormatError(hasTime ? 'signal_map' : 'no_time_column', {
      found: `a signal map that does not fit (${faults.map((fault) => fault.message).join(' ')})`,
      expected: `a map of the columns ${names.join(', ')}${columns.length > names.length ? ' …' : ''}`,
    });
  }
  return map.signals.map((entry) => ({ entry, conversion: conversionOf(entry, roadToShaft) }));
}

/** canonical = (number × factor + offset) × unit factor + unit offset, as one step. */
function conversionOf(entry: MappedSignal, roadToShaft: RoadToShaft | undefined): LinearConversion | null {
  const unit = conversionToSignal(entry.signal, entry.unit, roadToShaft) ?? { factor: 1, offset: 0 };
  const factor = (entry.factor ?? 1) * unit.factor;
  const offset = (entry.offset ?? 0) * unit.factor + unit.offset;
  return factor === 1 && offset === 0 ? null : { factor, offset };
}

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
