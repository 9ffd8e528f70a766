import { CONFIDENCES, type Confidence } from './confidence.js';
import type { LogColumn, LogContent } from './log-content.js';
import { INDISPENSABLE_SIGNALS, type MappedSignal, type SignalMap } from './signal-map.js';
import { headerWords, SIGNAL_WORDS } from './signal-words.js';
import { SIGNAL_IDS, type SignalId } from './signals.js';
import { findUnit, isUnitOfSignal, unitsForSignal } from './units.js';

/** Why a column was taken for a signal. `low` should be confirmed by a person. */
export interface SuggestionReason {
  readonly signal: SignalId;
  readonly column: string;
  readonly confidence: Confidence;
  readonly reason: string;
}

export interface SignalMapSuggestion {
  /** Null when no column looks like time: a map needs one. */
  readonly map: SignalMap | null;
  readonly signals: readonly MappedSignal[];
  readonly reasons: readonly SuggestionReason[];
  /** Names of the columns that are neither time nor a signal. */
  readonly unmappedColumns: readonly string[];
  /** Indispensable signals for which no column was found. */
  readonly missingSignals: readonly SignalId[];
}

interface Match extends SuggestionReason {
  readonly index: number;
  readonly unit: string;
  readonly rank: number;
}

/**
 * Proposes a signal map from the names and units of the columns: English and German words and the usual abbreviations
 * of the trade. Each column serves one signal at most. A name whose unit contradicts the signal is not taken.
 */
export function suggestSignalMap(inspection: Pick<LogContent, 'columns' | 'timeCandidates'>): SignalMapSuggestion {
  const time = inspection.timeCandidates[0];
  const others = inspection.columns.filter((column) => column.name !== time?.column);
  const chosen = choose(others.flatMap(matchesOf));
  const signals = chosen.map(({ signal, column, unit }): MappedSignal => ({ signal, column, unit }));
  return {
    map: time === undefined ? null : { time: { column: time.column, format: time.format }, signals },
    signals,
    reasons: chosen.map(({ signal, column, confidence, reason }) => ({ signal, column, confidence, reason })),
    unmappedColumns: others
      .map((column) => column.name)
      .filter((name) => !chosen.some((match) => match.column === name)),
    missingSignals: INDISPENSABLE_SIGNALS.filter((signal) => !chosen.some((match) => match.signal === signal)),
  };
}

/** Best match first; ties go to the earlier column. Result in the order of SIGNAL_IDS. */
function choose(matches: readonly Match[]): Match[] {
  const chosen: Match[] = [];
  for (const match of [...matches].sort((a, b) => a.rank - b.rank || a.index - b.index)) {
    if (!chosen.some((other) => other.signal === match.signal || other.column === match.column)) chosen.push(match);
  }
  return chosen.sort((a, b) => SIGNAL_IDS.indexOf(a.signal) - SIGNAL_IDS.indexOf(b.signal));
}

/** A word that is first in its signal's list is sure; each step down, and a missing unit, make it less so. */
function matchesOf(column: LogColumn): Match[] {
  const words = headerWords(isRotational(column) ? `${column.label} rpm` : column.label);
  return SIGNAL_WORDS.flatMap(({ signal, never, words: rules }) => {
    if (never?.test(words)) return [];
    const rule = rules.find(({ pattern }) => pattern.test(words));
    if (rule === undefined) return [];
    const unit = unitFor(signal, column, rule.unit);
    if (unit === undefined) return [];
    const doubt = CONFIDENCES.indexOf(rule.confidence);
    const confidence = CONFIDENCES[Math.min(2, doubt + (unit.isAssumed ? 1 : 0))] ?? 'low';
    const matched = rule.pattern.exec(words)?.[0].replace(SPOKEN_UNIT, '').trim();
    const reason = `its name says “${matched}”${rule.note ? ` (${rule.note})` : ''}; ${unit.reason}`;
    const rank = rules.indexOf(rule) * 2 + (unit.isAssumed ? 1 : 0);
    return [{ signal, column: column.name, index: column.index, confidence, reason, unit: unit.text, rank }];
  });
}

/** The unit of a column for a signal; undefined when the stated unit rules the signal out. */
function unitFor(signal: SignalId, column: LogColumn, usual: string | undefined) {
  const canonical = unitsForSignal(signal)[0] ?? '';
  const found = column.unit === null ? undefined : findUnit(column.unit);
  if (found !== undefined && isUnitOfSignal(signal, found.id)) {
    return { text: found.id, isAssumed: false, reason: canonical === '' ? 'no unit needed' : `unit ${found.id}` };
  }
  if (column.unit !== null && (found !== undefined || canonical !== '')) return undefined;
  if (canonical === '') return { text: '', isAssumed: false, reason: 'no unit needed' };
  const text = usual ?? canonical;
  return { text, isAssumed: true, reason: `no unit stated, ${text} assumed` };
}

/** `engine_rpm` says speed by its unit alone, so the unit is spoken with the name. */
const SPOKEN_UNIT = / rpm$/;

function isRotational(column: LogColumn): boolean {
  return column.unit !== null && findUnit(column.unit)?.quantity === 'rotationalSpeed';
}
