import type { Car } from '../car.js';
import type { BenchPoint, ShiftBench } from './shift-bench.js';

/** A factor outside 1/2.5 to 2.5 is not sought: such a map is not to be corrected but to be made anew. */
const FURTHEST_LN = Math.log(2.5);
const FIRST_STEP_LN = 0.04;
const STEP_GROWTH = 1.6;
/** A time within this part of its target has met it: far below what a log can tell. */
const TIME_TOLERANCE = 0.002;
const MOST_HALVINGS = 12;
/** An upshift that flares counts as late by this much (ln) at least. */
const FLARE_LATENESS = 0.3;

/**
 * Factor on the commanded pressure with which a shift of this car takes its target time (methods.md 5), found in the
 * simulator itself: from 1 outwards, more for a shift that is late (less where the off-going clutch governs, which holds
 * the input back) until it is early, then between. An upshift that flares wants more whatever its time: the control unit
 * answers a flare with more pressure, and so may end in time a shift that was commanded far too little. Where the time of
 * a small speed step leaps over its target the factor is thus the least without a flare. Null where there is none within
 * 1/2.5 to 2.5: then the time does not depend on the clutch, as in a coasting downshift that the idling engine makes by
 * itself.
 */
export function idealPressureFactor(bench: ShiftBench, car: Car, point: BenchPoint): number | null {
  const lateness = (ln: number): number => {
    const shift = bench.makeShift(car, point, Math.exp(ln));
    if (shift === null || shift.actualTimeS === null) return Number.NaN;
    const late = Math.log(shift.actualTimeS / shift.targetTimeS);
    if (shift.to > shift.from) return shift.flareRpm > 0 ? Math.max(FLARE_LATENESS, late) : late;
    return shift.governedBy === 'oncoming' ? late : -late;
  };
  let near = { ln: 0, late: lateness(0) };
  if (Math.abs(near.late) < TIME_TOLERANCE) return 1;
  const direction = Math.sign(near.late);
  let far = near;
  for (let step = FIRST_STEP_LN; far.late * direction > 0; step *= STEP_GROWTH) {
    near = far;
    const ln = near.ln + direction * step;
    if (Math.abs(ln) > FURTHEST_LN) return null;
    far = { ln, late: lateness(ln) };
  }
  return Number.isNaN(far.late) ? null : between(near, far, lateness);
}

type Tried = { readonly ln: number; readonly late: number };

/** Between two factors of opposite sign, by the rule of false position and halving in turn. */
function between(near: Tried, far: Tried, lateness: (ln: number) => number): number | null {
  let [a, b] = [near, far];
  for (let i = 0; i < MOST_HALVINGS; i++) {
    const share = i % 2 === 0 ? a.late / (a.late - b.late) : 0.5;
    const ln = a.ln + share * (b.ln - a.ln);
    const tried = { ln, late: lateness(ln) };
    if (Math.abs(tried.late) < TIME_TOLERANCE) return Math.exp(ln);
    if (Number.isNaN(tried.late)) return null;
    if (tried.late > 0 === a.late > 0) a = tried;
    else b = tried;
  }
  return Math.exp((a.ln + b.ln) / 2);
}
