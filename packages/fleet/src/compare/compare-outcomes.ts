import { type ClusteredRate, clusteredRate } from '../rates/clustered-rate.js';
import { type EvidenceThresholds, evidenceOf } from '../rates/evidence.js';
import { studentCdf, studentCritical } from '../special/student.js';
import { type JackknifedDifference, jackknifeDifferences } from './jackknife-differences.js';
import type { OutcomeTable } from './outcome-table.js';
import { isCommonStratum, sum, sumTable, type TableTotals } from './stratum-totals.js';

export interface CompareOptions extends Partial<EvidenceThresholds> {
  /** Default 0.95. */
  readonly confidence?: number;
  /** Least number of events under both revisions together; below it no variance can be estimated. Default 5. */
  readonly minEvents?: number;
}

/** A difference of rates, newer minus older: below 0 the newer revision has fewer events. */
export interface DifferenceEstimate {
  readonly difference: number;
  readonly standardError: number;
  readonly low: number;
  readonly high: number;
  /** Posterior probability, under a flat prior, that the newer revision has the lower rate. */
  readonly probabilityNewerBetter: number;
  /** Of the Student distribution that the interval and the probability are taken from. */
  readonly degreesOfFreedom: number;
}

/** What one revision did, over all its driving and over the part that is comparable. */
export interface RevisionOutcome {
  readonly shifts: number;
  readonly events: number;
  readonly vehicles: number;
  /** Interval over all its driving, not adjusted. */
  readonly rate: ClusteredRate;
  /** The part in strata that were driven under both revisions. */
  readonly comparable: { readonly shifts: number; readonly events: number; readonly vehicles: number };
  /** Share of its shifts that are comparable; NaN without shifts. */
  readonly overlapShare: number;
}

interface Compared {
  readonly older: RevisionOutcome;
  readonly newer: RevisionOutcome;
  /** Strata driven under both revisions, of all strata. */
  readonly commonStrata: number;
  readonly strata: number;
  /** Share of all shifts, of both revisions, that lie in common strata; NaN without shifts. */
  readonly overlapShare: number;
  readonly vehicles: number;
  readonly shifts: number;
}

export interface OutcomeEstimate extends Compared {
  readonly kind: 'estimate';
  /** Over all driving, whatever its mix: beside the adjusted figure, not instead of it. */
  readonly unadjusted: DifferenceEstimate;
  /** Mantel–Haenszel risk difference over the common strata. */
  readonly adjusted: DifferenceEstimate;
  /** Rates as if both had driven the pooled mix of the common strata, and their difference. */
  readonly standardised: DifferenceEstimate & { readonly olderRate: number; readonly newerRate: number };
}

export interface OutcomeInsufficient extends Compared {
  readonly kind: 'insufficient';
  /** `dependsOnOneVehicle`: without one of the vehicles no common stratum would be left. */
  readonly reason: 'noOverlap' | 'tooFewShifts' | 'tooFewVehicles' | 'tooFewEvents' | 'dependsOnOneVehicle';
  /** What was found of what the reason is about, and what was needed. */
  readonly found: number;
  readonly needed: number;
}

export type OutcomeComparison = OutcomeEstimate | OutcomeInsufficient;

/**
 * Compares an unwanted outcome under two revisions, like with like (methods.md 7): only strata driven under both
 * enter the adjusted figures. Variances are delete-one-vehicle jackknifes, intervals Student's. Too little evidence is
 * said with what was found. O(entries).
 */
export function compareOutcomes(table: OutcomeTable, options: CompareOptions = {}): OutcomeComparison {
  const { confidence = 0.95 } = options;
  const totals = sumTable(table);
  const compared = describeDriving(table, totals, options);
  const shortfall = findShortfall(compared, options);
  if (shortfall) return { kind: 'insufficient', ...shortfall, ...compared };
  const jackknife = jackknifeDifferences(table, totals);
  if (!jackknife) return { kind: 'insufficient', reason: 'dependsOnOneVehicle', found: 1, needed: 2, ...compared };
  return {
    kind: 'estimate',
    ...compared,
    unadjusted: estimateOf(jackknife.unadjusted, confidence),
    adjusted: estimateOf(jackknife.mantelHaenszel, confidence),
    standardised: {
      ...estimateOf(jackknife.standardised, confidence),
      olderRate: jackknife.standardisedRates.older,
      newerRate: jackknife.standardisedRates.newer,
    },
  };
}

function findShortfall(
  { older, newer, commonStrata }: Compared,
  options: CompareOptions,
): Pick<OutcomeInsufficient, 'reason' | 'found' | 'needed'> | null {
  const { minShifts, minVehicles } = evidenceOf(options);
  const { minEvents = 5 } = options;
  const shifts = Math.min(older.comparable.shifts, newer.comparable.shifts);
  const vehicles = Math.min(older.comparable.vehicles, newer.comparable.vehicles);
  const events = older.comparable.events + newer.comparable.events;
  if (commonStrata === 0) return { reason: 'noOverlap', found: 0, needed: 1 };
  if (shifts < minShifts) return { reason: 'tooFewShifts', found: shifts, needed: minShifts };
  if (vehicles < minVehicles) return { reason: 'tooFewVehicles', found: vehicles, needed: minVehicles };
  if (events < minEvents) return { reason: 'tooFewEvents', found: events, needed: minEvents };
  return null;
}

function describeDriving(
  table: OutcomeTable,
  { ofStrata: totals, ofVehicles }: TableTotals,
  options: CompareOptions,
): Compared {
  const isCommon = Uint8Array.from(table.strata, (_, k) => (isCommonStratum(totals, k) ? 1 : 0));
  const describe = (shifts: 'olderShifts' | 'newerShifts', events: 'olderEvents' | 'newerEvents'): RevisionOutcome => {
    const all = { events: ofVehicles[events], trials: ofVehicles[shifts] };
    const comparable = {
      shifts: sum(totals[shifts].filter((_, k) => isCommon[k])),
      events: sum(totals[events].filter((_, k) => isCommon[k])),
      vehicles: table.vehicles.filter((_, vehicle) => drove(table, vehicle, table[shifts], isCommon)).length,
    };
    return {
      shifts: sum(all.trials),
      events: sum(all.events),
      vehicles: all.trials.filter((n) => n > 0).length,
      rate: clusteredRate(all, options),
      comparable,
      overlapShare: comparable.shifts / sum(all.trials),
    };
  };
  const [older, newer] = [describe('olderShifts', 'olderEvents'), describe('newerShifts', 'newerEvents')];
  const shifts = older.shifts + newer.shifts;
  return {
    older,
    newer,
    commonStrata: sum(isCommon),
    strata: totals.olderShifts.filter((shifts, k) => shifts + totals.newerShifts[k] > 0).length,
    overlapShare: (older.comparable.shifts + newer.comparable.shifts) / shifts,
    vehicles: table.vehicles.length,
    shifts,
  };
}

/** Whether a vehicle has any of these shifts in such strata. */
function drove(
  { vehicleStart, stratum }: OutcomeTable,
  vehicle: number,
  shifts: Uint32Array,
  isIn: Uint8Array,
): boolean {
  for (let entry = vehicleStart[vehicle]; entry < vehicleStart[vehicle + 1]; entry += 1) {
    if (shifts[entry] > 0 && isIn[stratum[entry]] === 1) return true;
  }
  return false;
}

function estimateOf(
  { difference, variance, degreesOfFreedom }: JackknifedDifference,
  confidence: number,
): DifferenceEstimate {
  const standardError = Math.sqrt(variance);
  const half = studentCritical(confidence, degreesOfFreedom) * standardError;
  return {
    difference,
    standardError,
    low: Math.max(-1, difference - half),
    high: Math.min(1, difference + half),
    probabilityNewerBetter: studentCdf(-difference / standardError, degreesOfFreedom),
    degreesOfFreedom,
  };
}

/** Plain words for what is missing. @example 'too few: 7 of 30 shifts driven alike under both revisions' */
export function describeInsufficient({ reason, found, needed }: OutcomeInsufficient): string {
  switch (reason) {
    case 'noOverlap':
      return 'nothing was driven alike under both revisions';
    case 'tooFewShifts':
      return `too few: ${found} of ${needed} shifts driven alike under both revisions`;
    case 'tooFewVehicles':
      return `too few: ${found} of ${needed} vehicles with driving alike under both revisions`;
    case 'tooFewEvents':
      return `too few: ${found} of ${needed} events under both revisions together`;
    case 'dependsOnOneVehicle':
      return 'what was driven alike hangs on a single vehicle';
  }
}
