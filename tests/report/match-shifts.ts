import type { ShiftTruth } from '@syncline/drivetrain';
import type { Shift } from '@syncline/shifts';

/** Found and true shifts of one drive, side by side. */
export interface Matching {
  readonly pairs: readonly { readonly found: Shift; readonly truth: ShiftTruth }[];
  /** True shifts that were not found. */
  readonly missed: readonly ShiftTruth[];
  /** Found shifts that never were. */
  readonly invented: readonly Shift[];
}

/** A found shift is the true one when it has the same gears and ends, or else begins, within this time (s). */
const SAME_SHIFT_S = 0.6;

/**
 * Pairs found with true shifts, each at most once, the nearest first. What the log or the drive cut is left out on
 * both sides: there is no telling whether it should have been found.
 */
export function matchShifts(found: readonly Shift[], truth: readonly ShiftTruth[]): Matching {
  const candidates = found.flatMap((shift) =>
    truth
      .filter((real) => isSameKind(shift, real))
      .map((real) => ({ found: shift, truth: real, apartS: apart(shift, real) })),
  );
  candidates.sort((a, b) => a.apartS - b.apartS);
  const usedFound = new Set<Shift>();
  const usedTruth = new Set<ShiftTruth>();
  const pairs: { found: Shift; truth: ShiftTruth }[] = [];
  for (const candidate of candidates) {
    if (candidate.apartS > SAME_SHIFT_S || usedFound.has(candidate.found) || usedTruth.has(candidate.truth)) continue;
    usedFound.add(candidate.found);
    usedTruth.add(candidate.truth);
    pairs.push(candidate);
  }
  const isWhole = (real: ShiftTruth) => real.outcome !== 'cut' && real.from !== real.to && real.syncS !== null;
  return {
    pairs: pairs.filter(({ truth: real }) => isWhole(real)),
    missed: truth.filter((real) => isWhole(real) && !usedTruth.has(real)),
    invented: found.filter((shift) => shift.outcome !== 'cut' && !usedFound.has(shift)),
  };
}

function isSameKind(shift: Shift, real: ShiftTruth): boolean {
  return shift.from === real.from && shift.to === real.to;
}

function apart(shift: Shift, real: ShiftTruth): number {
  if (shift.syncS !== null && real.syncS !== null) return Math.abs(shift.syncS - real.syncS);
  return Math.abs(shift.commandS - real.commandS);
}
