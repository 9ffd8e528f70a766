import { DEMO_TARGET_TIMES } from '../target-times.js';

/** Peak jerk (m/s³) by load (%) from which a shift of these heavy cars is harsh. */
const HARSH_JERK = { load: [0, 25, 50, 75, 100], value: [22, 27, 31, 35, 38] };

/**
 * Thresholds that suit the Tern's cars, as plain data in the shape of a grading policy of packages/shifts: a campervan
 * of three tonnes answers the same tie-up with a smaller dip than a light car.
 */
export const TERN_GRADING = {
  version: 1,
  programs: {
    default: programGrading('default'),
    calm: programGrading('calm'),
    brisk: programGrading('brisk'),
  },
  incompleteAfterS: 2.5,
  valveOnLimitS: 1,
  lockUpLimitS: 4,
};

function programGrading(program: string) {
  return {
    flareRpm: 60,
    flareMs: 50,
    tieUpDepth: 0.7,
    harshJerk: HARSH_JERK,
    targetInertiaTimeS: DEMO_TARGET_TIMES[program],
    slowFactor: 1.7,
  };
}
