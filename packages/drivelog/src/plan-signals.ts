import type { LogColumn } from './log-content.js';
import { LogFormatError } from './log-format-error.js';
import { checkSignalMap, type MappedSignal, type SignalMap } from './signal-map.js';
import { conversionToSignal, type LinearConversion, type RoadToShaft } from './units.js';

/** What a reader does with each mapped signal, in the order of the map. */
export interface SignalPlan {
  readonly entry: MappedSignal;
  /** To the canonical unit; null when the numbers are so already. */
  readonly conversion: LinearConversion | null;
}

/** Columns that an error names. */
const SHOWN_COLUMNS = 12;

/** Turns a signal map into what a reader needs. Throws LogFormatError when map and file do not fit. */
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
