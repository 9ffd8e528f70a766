import { isMissingText } from './csv/cell-kind.js';
import type { SignalPlan } from './plan-signals.js';
import { stateReader } from './read-state.js';
import { findUnit, type LinearConversion } from './units.js';

/** Turns a value of the log into the canonical unit of its signal: NaN for “no value”, undefined when unreadable. */
export type ValueReader = (value: number | string) => number | undefined;

/** Distinct states whose meaning is remembered. */
const MAX_REMEMBERED = 1024;
const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i;

/** Readers for logs that hold numbers or texts instead of cells, one for each mapped signal. */
export function valueReaders(signals: readonly SignalPlan[]): ValueReader[] {
  return signals.map(valueReader);
}

/** The reader of one signal. */
export function valueReader(plan: SignalPlan): ValueReader {
  const line = lineOf(plan);
  return line === null ? stateValueReader(plan) : numberValueReader(line);
}

/** What makes numbers of the log those of the signal; null for a state, which is looked up. */
export function lineOf({ entry, conversion }: SignalPlan): LinearConversion | null {
  return findUnit(entry.unit)?.quantity === 'state' ? null : (conversion ?? { factor: 1, offset: 0 });
}

function numberValueReader({ factor, offset }: LinearConversion): ValueReader {
  return (value) => {
    if (typeof value === 'string' && !NUMBER.test(value)) return isMissingText(value) ? NaN : undefined;
    const converted = Number(value) * factor + offset;
    return Number.isFinite(converted) || Number.isNaN(converted) ? converted : undefined;
  };
}

/** Numbers without codes are states already; all else is looked up as text, once for each. */
function stateValueReader({ entry }: SignalPlan): ValueReader {
  const readText = stateReader(entry.signal, entry.codes ?? {});
  const known = new Map<number | string, number | undefined>();
  return (value) => {
    if (typeof value === 'number' && (entry.codes === undefined || Number.isNaN(value))) return value;
    if (known.has(value)) return known.get(value);
    const meaning = readText(String(value));
    if (known.size < MAX_REMEMBERED) known.set(value, meaning);
    return meaning;
  };
}
