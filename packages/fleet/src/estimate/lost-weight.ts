import { ROW_STEP } from './shift-moments.js';
import { observationAt, type ShiftRows, startOf } from './shift-rows.js';

/** Shifts of one vehicle that count less than they were observed to. */
export interface LostWeight {
  readonly rows: ShiftRows;
  /** Their places in the rows, and what the weight of each changes by: below 0. */
  readonly shifts: readonly number[];
  readonly changes: readonly number[];
}

/** Σ w·share by node without the lost weight. */
export function lessEvidence(evidence: Float64Array, lost: readonly LostWeight[]): Float64Array {
  const left = evidence.slice();
  const step = ROW_STEP;
  for (const { rows, shifts, changes } of lost) {
    const { ends, nodes, shares } = rows;
    for (const [i, shift] of shifts.entries()) {
      for (let entry = startOf(rows, shift); entry < ends[shift]; entry += 1) {
        left[nodes[entry]] += changes[i] * (shares[entry] * step);
      }
    }
  }
  return left;
}

/** Each as a shift of negative weight without any grade. */
export function observationsOf({ rows, shifts, changes }: LostWeight): ReturnType<typeof observationAt>[] {
  return shifts.map((shift, i) => observationAt(rows, shift, changes[i]));
}
