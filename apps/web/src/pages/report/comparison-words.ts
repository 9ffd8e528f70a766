import type { ComparisonSubject, Rate, ReportComparison } from '@syncline/contract';
import { counted, formatCount, formatNumber } from '../../format/quantity.js';
import { formatInterval, formatShare } from '../../format/rate.js';
import { MEASURE_WORDS } from '../../format/words.js';

type Compared = Extract<ReportComparison, { kind: 'compared' }>;
type TooFew = Extract<ReportComparison, { kind: 'tooFew' }>;
export type ComparedRow = Compared['rows'][number];

export function isFleet(subject: ComparisonSubject): boolean {
  return subject === 'fleetRevision' || subject === 'fleetPlatform';
}

/** What the drive is held against, for a heading. */
export const SUBJECT_TITLES: Record<ComparisonSubject, string> = {
  sameRevision: 'Earlier drives of this car, same revision',
  otherRevisions: 'Earlier drives of this car, other revisions',
  fleetRevision: 'Other cars, same revision',
  fleetPlatform: 'Other cars of the platform',
};

/** What counts in a comparison: “28 shifts of this drive and 410 of 6 earlier drives (Shore r1)”. */
export function basisWords({ subject, sources, shiftsNow, shiftsOthers, revisionLabels }: Compared): string {
  const whose = isFleet(subject) ? counted(sources, 'other car') : counted(sources, 'earlier drive');
  const labels = revisionLabels.length === 0 ? '' : ` (${revisionLabels.join(', ')})`;
  return `Counted are ${counted(shiftsNow, 'shift')} of this drive and ${formatCount(shiftsOthers)} of ${whose}${labels}, at operating points that both drove.`;
}

/** Why there is nothing to compare with. */
export function tooFewWords({ subject, reason, found, needed }: TooFew): string {
  switch (reason) {
    case 'noSource':
      return isFleet(subject)
        ? 'No other car has driven here.'
        : 'There is no earlier drive of this car to compare with.';
    case 'noCommonPoint':
      return 'Earlier drives were at other operating points: no shift of this one can be compared.';
    case 'tooFewCars':
      return `${found === 0 ? 'No other car' : `Only ${counted(found, 'other car')}`} drove at these operating points. Fewer than ${formatCount(needed)} are not shown, so that no single tester is.`;
    default:
      return reason satisfies never;
  }
}

/** One line of a comparison, to be read or heard without the table. */
export function rowWords(
  { measure, now, others: rate, expected, verdict }: ComparedRow,
  subject: ComparisonSubject,
): string {
  const word = MEASURE_WORDS[measure];
  const others = isFleet(subject) ? 'the other cars' : 'the earlier drives';
  if (rate === null) return `${word}: fewer than three other cars could tell, so nothing is shown.`;
  const would =
    expected === null ? '' : ` At the rates of ${others} it would have been ${formatNumber(expected, 1)} shifts.`;
  return `${word}: ${rateWords(now)} now, ${rateWords(rate)} ${isFleet(subject) ? 'in' : 'on'} ${others}.${would} ${VERDICT_WORDS[verdict]}.`;
}

export const VERDICT_WORDS: Record<ComparedRow['verdict'], string> = {
  lower: 'Less often now',
  higher: 'More often now',
  notTold: 'No difference can be told',
};

/** Rate with interval and counts; what is too few says so. Clusters are not named: they are drives or cars. */
export function rateWords(rate: Rate): string {
  const counts = `${formatCount(rate.events)} of ${counted(rate.shifts, 'shift')}`;
  if (rate.kind === 'insufficient') {
    return `${counts} (too few to tell${rate.shifts < rate.neededShifts ? `: ${rate.neededShifts} are needed` : ''})`;
  }
  return `${formatShare(rate.rate)} (${formatInterval(rate.low, rate.high)}; ${counts})`;
}
