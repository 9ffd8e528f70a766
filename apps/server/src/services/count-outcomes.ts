import type { NewShift, OutcomeCounts } from '@syncline/store';

type Graded = Pick<NewShift, 'shift' | 'grades'>;

/** Counts of shifts by grade, and of those in which the log could tell; as the store counts them in its summaries. */
export function countOutcomes(shifts: readonly Graded[]): OutcomeCounts {
  const count = (holds: (entry: Graded) => boolean) => shifts.filter(holds).length;
  const graded = (grade: Graded['grades'][number]) => count(({ grades }) => grades.includes(grade));
  return {
    shifts: shifts.length,
    flare: graded('flare'),
    tieUp: graded('tie-up'),
    harsh: graded('harsh'),
    slow: graded('slow'),
    incomplete: graded('incomplete'),
    clean: graded('clean'),
    flareMeasured: count(({ shift, grades }) => shift.inertiaStartS !== null || grades.includes('flare')),
    tieUpMeasured: count(({ shift }) => shift.measures.tieUpDepth !== null),
    harshMeasured: count(({ shift }) => shift.measures.peakJerk !== null),
    slowMeasured: count(({ shift }) => shift.measures.inertiaTimeS !== null),
  };
}
