import type { ComparisonSubject, OutcomeMeasure, Rate, ReportComparison } from '@syncline/contract';
import type { OutcomeCounts } from '@syncline/store';
import { type CountedOutcome, carRate, fleetRate, groupBy, OUTCOME_OF_MEASURE, sumCounts, trialsOf } from '../rates.js';

/** What was driven at one operating point. */
export interface Stratum extends OutcomeCounts {
  readonly kind: string;
  readonly loadBand: number;
  readonly fluidTemperatureBand: number;
  readonly program: string | null;
}

/** The same of one other drive, or of one other car. */
export interface SourceStratum extends Stratum {
  readonly source: string;
}

/** What a drive is held against, and how much of it is asked for before a rate is shown. */
export interface ComparisonSide {
  readonly subject: ComparisonSubject;
  readonly revisionLabels: readonly string[];
  readonly minSources: number;
  readonly minShifts: number;
}

type Compared = Extract<ReportComparison, { kind: 'compared' }>;

/**
 * Rates of a drive beside those of other drives or cars, like with like: only operating points that were driven on both
 * sides, and within them only shifts in which the log could tell (methods.md 7). What is found too little is said.
 */
export function compareDrive(
  now: readonly Stratum[],
  then: readonly SourceStratum[],
  side: ComparisonSide,
): ReportComparison {
  const { subject, minSources } = side;
  const isFleet = subject === 'fleetRevision' || subject === 'fleetPlatform';
  const tooFew = (reason: 'noSource' | 'noCommonPoint' | 'tooFewCars', found: number): ReportComparison => ({
    kind: 'tooFew',
    subject,
    reason,
    found,
    needed: isFleet ? minSources : 1,
  });
  const points = new Set(now.map(keyOf));
  const common = then.filter((stratum) => points.has(keyOf(stratum)));
  const sources = countSources(common);
  if (isFleet && sources < minSources) return tooFew('tooFewCars', sources);
  if (then.length === 0) return tooFew('noSource', 0);
  if (common.length === 0) return tooFew('noCommonPoint', 0);
  const driven = new Set(common.map(keyOf));
  return {
    kind: 'compared',
    subject,
    revisionLabels: [...side.revisionLabels],
    sources,
    shiftsNow: sumCounts(now.filter((stratum) => driven.has(keyOf(stratum)))).shifts,
    shiftsOthers: sumCounts(common).shifts,
    rows: (Object.keys(OUTCOME_OF_MEASURE) as OutcomeMeasure[]).map((measure) =>
      compareOutcome(measure, now, common, { ...side, isFleet }),
    ),
  };
}

function compareOutcome(
  measure: OutcomeMeasure,
  now: readonly Stratum[],
  then: readonly SourceStratum[],
  { minSources, minShifts, isFleet }: ComparisonSide & { readonly isFleet: boolean },
): Compared['rows'][number] {
  const outcome = OUTCOME_OF_MEASURE[measure];
  const [ofNow, ofThen] = [pointsOf(now, outcome), pointsOf(then, outcome)];
  const isCommon = (stratum: Stratum) => ofNow.has(keyOf(stratum)) && ofThen.has(keyOf(stratum));
  const commonThen = then.filter(isCommon);
  const nowRate = carRate(sumCounts(now.filter(isCommon)), outcome);
  const bySource = [...groupBy(commonThen, ({ source }) => source).values()].map(sumCounts);
  const witnesses = bySource.filter((counts) => trialsOf(counts, outcome) > 0).length;
  // What so few cars did is theirs: no other tester is shown it.
  const isHidden = isFleet && witnesses < minSources;
  const othersRate = isHidden ? null : fleetRate(bySource, outcome, { minShifts, minVehicles: minSources });
  return {
    measure,
    now: nowRate,
    others: othersRate,
    expected: isHidden || commonThen.length === 0 ? null : expectedEvents(ofNow, ofThen, outcome),
    verdict: othersRate === null ? 'notTold' : verdictOn(nowRate, othersRate),
  };
}

/** Events that the driving of now would have had at the rates of then, added up over the operating points of both. */
function expectedEvents(
  now: ReadonlyMap<string, OutcomeCounts>,
  then: ReadonlyMap<string, OutcomeCounts>,
  outcome: CountedOutcome,
): number {
  let expected = 0;
  for (const [key, counts] of now) {
    const others = then.get(key);
    if (others) expected += (trialsOf(counts, outcome) * others[outcome]) / trialsOf(others, outcome);
  }
  return expected;
}

/** Counts by operating point, of those at which the outcome could be told. */
function pointsOf(strata: readonly Stratum[], outcome: CountedOutcome): Map<string, OutcomeCounts> {
  const sums = [...groupBy(strata, keyOf)].map(([key, rows]) => [key, sumCounts(rows)] as const);
  return new Map(sums.filter(([, counts]) => trialsOf(counts, outcome) > 0));
}

/** Two intervals that do not meet tell a difference; two that do tell none. */
function verdictOn(now: Rate, then: Rate): 'lower' | 'higher' | 'notTold' {
  if (now.kind !== 'estimate' || then.kind !== 'estimate') return 'notTold';
  if (now.high < then.low) return 'lower';
  return now.low > then.high ? 'higher' : 'notTold';
}

function countSources(strata: readonly SourceStratum[]): number {
  return new Set(strata.map(({ source }) => source)).size;
}

function keyOf({ kind, loadBand, fluidTemperatureBand, program }: Stratum): string {
  return [kind, loadBand, fluidTemperatureBand, program ?? ''].join('|');
}
