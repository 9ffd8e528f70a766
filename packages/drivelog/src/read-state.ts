import { isMissingText } from './csv/cell-kind.js';
import type { SignalId } from './signals.js';

/** Usual writings of switches, English and German. */
const SWITCH_TEXTS = new Map<string, number>([
  ...['true', 'on', 'yes', 'active', 'pressed', 'applied', 'ein', 'an', 'ja', 'aktiv'].map(
    (text) => [text, 1] as const,
  ),
  ...['false', 'off', 'no', 'inactive', 'released', 'aus', 'nein', 'inaktiv'].map((text) => [text, 0] as const),
]);

/** Usual writings of selector positions. D says that a forward gear is in, not which: no value. */
const GEAR_TEXTS = new Map<string, number>([
  ['p', 0],
  ['n', 0],
  ['r', -1],
  ['d', NaN],
]);

const NO_TEXTS: ReadonlyMap<string, number> = new Map();

/** Turns the text of a state column into its number: NaN for “no value”, undefined when it cannot be read. */
export type StateReader = (text: string) => number | undefined;

/** Codes of the signal map come first, then numbers as they stand (fractional gears too), then the usual texts. */
export function stateReader(signal: SignalId, codes: Readonly<Record<string, number | null>>): StateReader {
  const meanings = new Map(Object.entries(codes).map(([key, value]) => [codeKey(key), value ?? NaN]));
  const usual = usualTexts(signal);
  return (text) => {
    const key = codeKey(text);
    const coded = meanings.get(key);
    if (coded !== undefined) return coded;
    if (isMissingText(text)) return NaN;
    return NUMBER_KEY.test(key) ? Number(key) : usual.get(key);
  };
}

function usualTexts(signal: SignalId): ReadonlyMap<string, number> {
  if (signal === 'gear' || signal === 'gearTarget') return GEAR_TEXTS;
  return signal === 'brake' || signal === 'valveOn' || signal === 'mark' ? SWITCH_TEXTS : NO_TEXTS;
}

const NUMBER_KEY = /^-?\d+(?:\.\d+)?$/;

/** One key for `14`, `14.0` and `14,0`, and for `r` and `R`. */
function codeKey(text: string): string {
  const trimmed = text.trim().toLowerCase();
  return /^[+-]?\d+(?:[.,]\d*)?$/.test(trimmed) ? String(Number(trimmed.replace(',', '.'))) : trimmed;
}
