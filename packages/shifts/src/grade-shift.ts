import type { Grade, GradingPolicy } from './policy.js';
import { highestValue, programPolicy, valueAtLoad } from './program-policy.js';
import type { Shift } from './shift.js';

/**
 * What the policy says of a shift (methods.md 4), in the order of `GRADES`; thresholds are reached by being equal.
 * Where the load is not logged, a shift is harsh or slow only if it would be at any load. A measure that the log cannot
 * give grades nothing. A shift that was cut is never called clean: without a departure it has no grade at all.
 */
export function gradeShift(shift: Shift, policy: GradingPolicy, programId: string | null): Grade[] {
  const { measures, at } = shift;
  const limits = programPolicy(policy, programId);
  const jerkLimit = at.load === null ? highestValue(limits.harshJerk) : valueAtLoad(limits.harshJerk, at.load);
  const targetTimeS =
    at.load === null ? highestValue(limits.targetInertiaTimeS) : valueAtLoad(limits.targetInertiaTimeS, at.load);
  const grades: Grade[] = [];
  if (measures.flareRpm >= limits.flareRpm && measures.flareMs >= limits.flareMs) grades.push('flare');
  if (measures.tieUpDepth !== null && measures.tieUpDepth >= limits.tieUpDepth) grades.push('tie-up');
  if (measures.peakJerk !== null && measures.peakJerk > jerkLimit) grades.push('harsh');
  if (measures.inertiaTimeS !== null && measures.inertiaTimeS > limits.slowFactor * targetTimeS) grades.push('slow');
  if (isIncomplete(shift, policy)) grades.push('incomplete');
  if (grades.length === 0 && shift.outcome !== 'cut') grades.push('clean');
  return grades;
}

/** Whether the valve of a shift stayed energised for longer than the policy allows after the ratio was reached. */
export function isValveHeldOn(shift: Shift, policy: GradingPolicy): boolean {
  return shift.measures.valveOnAfterSyncS !== null && shift.measures.valveOnAfterSyncS > policy.valveOnLimitS;
}

function isIncomplete(shift: Shift, policy: GradingPolicy): boolean {
  if (shift.outcome === 'unsynchronised') return true;
  return shift.measures.shiftTimeS !== null && shift.measures.shiftTimeS > policy.incompleteAfterS;
}
