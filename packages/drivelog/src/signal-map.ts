import type { LogContent, TimeFormat } from './log-content.js';
import type { SignalId } from './signals.js';
import { findUnit, isRoadSpeedUnit, isUnitOfSignal, type RoadToShaft, unitsForSignal } from './units.js';

/** Which column is which signal, in which unit. Plain JSON, saved per vehicle. Columns are named as in the header. */
export interface SignalMap {
  readonly time: { readonly column: string; readonly format: TimeFormat };
  readonly signals: readonly MappedSignal[];
}

export interface MappedSignal {
  readonly signal: SignalId;
  readonly column: string;
  /** Unit of number × factor + offset; `''` for gears, programs, switches and counts. */
  readonly unit: string;
  /** For raw counts. Default 1. */
  readonly factor?: number;
  /** Default 0. */
  readonly offset?: number;
  /**
   * Meaning of certain cells, as written (capitals do not matter) or as numbers: `{ "14": -1, "13": null, "D": null }`.
   * null is “no value”. They come before the usual readings: P and N are 0, R is -1, true and on are 1, false and off 0.
   */
  readonly codes?: Readonly<Record<string, number | null>>;
}

/** Signals without which no shift can be found. */
export const INDISPENSABLE_SIGNALS: readonly SignalId[] = ['inputSpeed', 'outputSpeed'];

export interface SignalMapProblem {
  readonly code:
    | 'time_column_absent'
    | 'column_absent'
    | 'column_is_time'
    | 'signal_twice'
    | 'column_twice'
    | 'unit_unknown'
    | 'unit_unfit'
    | 'scale_unfit'
    | 'car_unknown'
    | 'signal_missing';
  /** A log can be read in spite of a warning. */
  readonly severity: 'error' | 'warning';
  readonly message: string;
  readonly signal?: SignalId;
  readonly column?: string;
}

/** What of a map does not fit a file. Empty when all is well. `roadToShaft` is needed for speeds of the road. */
export function checkSignalMap(
  map: SignalMap,
  inspection: Pick<LogContent, 'columns'>,
  roadToShaft?: RoadToShaft,
): SignalMapProblem[] {
  const names = new Set(inspection.columns.map((column) => column.name));
  const problems: SignalMapProblem[] = [];
  if (!names.has(map.time.column)) {
    const message = `The time column “${map.time.column}” is not in the file.`;
    problems.push({ code: 'time_column_absent', severity: 'error', message, column: map.time.column });
  }
  for (const [i, entry] of map.signals.entries()) {
    const isTwice = map.signals.findIndex((other) => other.signal === entry.signal) < i;
    const found = [...columnProblems(entry, names, map.time.column), ...unitProblems(entry, roadToShaft)];
    if (map.signals.findIndex((other) => other.column === entry.column) < i) {
      found.push({ code: 'column_twice', severity: 'error', message: `The column “${entry.column}” is mapped twice.` });
    }
    if (isTwice) found.push({ code: 'signal_twice', severity: 'error', message: `${entry.signal} is mapped twice.` });
    problems.push(...found.map((problem) => ({ ...problem, signal: entry.signal, column: entry.column })));
  }
  for (const signal of INDISPENSABLE_SIGNALS) {
    if (map.signals.some((entry) => entry.signal === signal)) continue;
    const message = `${signal} is not mapped; without it no shift can be found.`;
    problems.push({ code: 'signal_missing', severity: 'warning', message, signal });
  }
  return problems;
}

function columnProblems(entry: MappedSignal, names: ReadonlySet<string>, timeColumn: string): SignalMapProblem[] {
  if (!names.has(entry.column)) {
    const message = `The column “${entry.column}” for ${entry.signal} is not in the file.`;
    return [{ code: 'column_absent', severity: 'error', message }];
  }
  if (entry.column !== timeColumn) return [];
  const message = `The column “${entry.column}” is the time and cannot be ${entry.signal} too.`;
  return [{ code: 'column_is_time', severity: 'error', message }];
}

function unitProblems(entry: MappedSignal, roadToShaft: RoadToShaft | undefined): SignalMapProblem[] {
  const choices = unitsForSignal(entry.signal)
    .map((unit) => unit || 'no unit')
    .join(', ');
  if (findUnit(entry.unit) === undefined) {
    const message = `The unit “${entry.unit}” of ${entry.signal} is not known; known are ${choices}.`;
    return [{ code: 'unit_unknown', severity: 'error', message }];
  }
  if (!isUnitOfSignal(entry.signal, entry.unit)) {
    const message = `${entry.signal} cannot be in “${entry.unit}”; it can be in ${choices}.`;
    return [{ code: 'unit_unfit', severity: 'error', message }];
  }
  if (isRoadSpeedUnit(entry.unit) && !isPositive(roadToShaft?.tyreRadiusM, roadToShaft?.finalDriveRatio)) {
    const message = `${entry.signal} is a road speed; tyre radius and final drive ratio of the car are needed.`;
    return [{ code: 'car_unknown', severity: 'error', message }];
  }
  return scaleProblems(entry);
}

function scaleProblems(entry: MappedSignal): SignalMapProblem[] {
  const isState = findUnit(entry.unit)?.quantity === 'state';
  const factor = entry.factor ?? 1;
  const offset = entry.offset ?? 0;
  if (isState && (factor !== 1 || offset !== 0)) {
    const message = `${entry.signal} is a state and takes codes, not factor and offset.`;
    return [{ code: 'scale_unfit', severity: 'error', message }];
  }
  if (!isState && entry.codes !== undefined) {
    const message = `${entry.signal} is a measured quantity and takes factor and offset, not codes.`;
    return [{ code: 'scale_unfit', severity: 'error', message }];
  }
  if (Number.isFinite(factor) && factor !== 0 && Number.isFinite(offset)) return [];
  const message = `Factor and offset of ${entry.signal} must be finite, and the factor not 0.`;
  return [{ code: 'scale_unfit', severity: 'error', message }];
}

function isPositive(...values: (number | undefined)[]): boolean {
  return values.every((value) => value !== undefined && Number.isFinite(value) && value > 0);
}
