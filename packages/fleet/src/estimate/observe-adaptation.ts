import { NO_SHIFTS } from '../summaries/grade-counts.js';
import type { DesignRow } from './design-row.js';
import type { ShiftMoments, ShiftObservation } from './shift-moments.js';

/** A value that a control unit has learnt by itself. */
export interface AdaptationValue {
  readonly shiftKind: string;
  /** ln of learnt over tabulated pressure. */
  readonly learntLn: number;
  /** Undisturbed shifts that tell as much. */
  readonly worthShifts: number;
}

/**
 * A learnt value as an observation of the car's effect (methods.md 6), so that what most cars have learnt moves into the
 * base map and the rest stays the car's trim. `row` is that of the node it belongs to, or `averageRow` where the control
 * unit learns one value per clutch. Shifts of such a car take it as `appliedTrimLn`.
 */
export function observeAdaptation(
  { shiftKind, learntLn, worthShifts }: AdaptationValue,
  row: DesignRow,
): ShiftObservation {
  return { shiftKind, row, y: row.gain * learntLn, weight: worthShifts, counts: NO_SHIFTS };
}

/** The average row of a car's shifts of one kind; null where it has none. */
export function averageRow(moments: ShiftMoments, shiftKind: string): DesignRow | null {
  const own = moments.get(shiftKind);
  if (!own || own.weight === 0) return null;
  const sum = (values: Float64Array) => values.reduce((total, value) => total + value, 0);
  return {
    nodes: [...own.nodes],
    shares: [...own.evidence].map((evidence) => evidence / own.weight),
    gain: sum(own.design) / sum(own.evidence),
  };
}
