import type { Platform } from '@syncline/calibration';
import { type CarFacts, demandRatio, type GradingPolicy, gradeShift, type Shift } from '@syncline/shifts';
import type { NewShift } from '@syncline/store';

/** What a policy makes of a shift. */
export interface Assessment {
  readonly grades: NewShift['grades'];
  readonly demandRatio: number | null;
  readonly demandWeight: number | null;
}

/** Grades and demand ratio of a shift in a car, driven in a program of the platform (null when it is not known). */
export function assessShift(shift: Shift, car: CarFacts, policy: GradingPolicy, program: string | null): Assessment {
  const demand = demandRatio(shift, car, policy, program);
  const isKnown = demand.kind === 'estimate';
  return {
    grades: gradeShift(shift, policy, program),
    demandRatio: isKnown ? demand.y : null,
    demandWeight: isKnown ? demand.weight : null,
  };
}

/** A shift as a worker hands it over: all but the bands that it counts in. */
export type AssessedShift = Omit<NewShift, 'bands'>;

export function assessed(shift: Shift, car: CarFacts, policy: GradingPolicy, platform: Platform): AssessedShift {
  const program = platform.programs.find(({ code }) => code === shift.at.programCode)?.id ?? null;
  return { shift, program, ...assessShift(shift, car, policy, program) };
}
