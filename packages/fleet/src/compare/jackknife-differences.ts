import { type ComparisonSums, mantelHaenszel, standardised, standardisedRates, unadjusted } from './comparison-sums.js';
import { standardisedRate } from './direct-standardisation.js';
import { effectiveDegreesOfFreedom } from './effective-vehicles.js';
import { commonRiskDifference } from './mantel-haenszel.js';
import type { OutcomeTable } from './outcome-table.js';
import { isCommonStratum, type StratumTotals, sum, sumTable, type VehicleTotals } from './stratum-totals.js';

/** A difference of rates (newer minus older) with its variance by vehicle. */
export interface JackknifedDifference {
  readonly difference: number;
  readonly variance: number;
  readonly degreesOfFreedom: number;
}

export interface JackknifedDifferences {
  readonly unadjusted: JackknifedDifference;
  readonly mantelHaenszel: JackknifedDifference;
  readonly standardised: JackknifedDifference;
  readonly standardisedRates: { readonly older: number; readonly newer: number };
}

/**
 * The three differences of methods.md 7 with delete-one-vehicle variances (Efron 1982): leaving a vehicle out also
 * leaves out the strata that only it made comparable, so sparse strata are not taken for certain. Null when the
 * common strata hang on a single vehicle. What a vehicle changes in its own strata is taken from the sums, so that all
 * of them together cost one pass: O(entries).
 */
export function jackknifeDifferences(
  table: OutcomeTable,
  { ofStrata: totals, ofVehicles } = sumTable(table),
): JackknifedDifferences | null {
  const terms = new StratumTerms(totals);
  const whole = sumStrata(totals, terms);
  const difference = {
    unadjusted: unadjusted(whole),
    mantelHaenszel: mantelHaenszel(whole),
    standardised: standardised(whole),
  };
  const shifts = { unadjusted: new Spread(), mantelHaenszel: new Spread(), standardised: new Spread() };
  const share = { all: new Float64Array(table.vehicles.length), common: new Float64Array(table.vehicles.length) };
  for (let vehicle = 0; vehicle < table.vehicles.length; vehicle += 1) {
    const rest = withoutVehicle({ whole, terms, table, ofVehicles }, vehicle);
    if (rest.commonStrata === 0) return null;
    share.all[vehicle] =
      ofVehicles.olderShifts[vehicle] / whole.olderShifts ** 2 +
      ofVehicles.newerShifts[vehicle] / whole.newerShifts ** 2;
    share.common[vehicle] = rest.varianceShare;
    shifts.unadjusted.add(unadjusted(rest) - difference.unadjusted);
    shifts.mantelHaenszel.add(mantelHaenszel(rest) - difference.mantelHaenszel);
    shifts.standardised.add(standardised(rest) - difference.standardised);
  }
  const independent = independentVariances(totals);
  const freedom = { all: effectiveDegreesOfFreedom(share.all), common: effectiveDegreesOfFreedom(share.common) };
  const varianceOf = (which: keyof typeof shifts) => {
    const jackknife = shifts[which].jackknifeVariance(which === 'unadjusted' ? freedom.all : freedom.common);
    // Cars that agree to the last count leave no spread to estimate from; then shifts are taken as independent.
    return jackknife > 1e-9 * independent[which] ? jackknife : independent[which];
  };
  return {
    unadjusted: {
      difference: difference.unadjusted,
      variance: varianceOf('unadjusted'),
      degreesOfFreedom: freedom.all,
    },
    mantelHaenszel: {
      difference: difference.mantelHaenszel,
      variance: varianceOf('mantelHaenszel'),
      degreesOfFreedom: freedom.common,
    },
    standardised: {
      difference: difference.standardised,
      variance: varianceOf('standardised'),
      degreesOfFreedom: freedom.common,
    },
    standardisedRates: standardisedRates(whole),
  };
}

/** By how much an estimate moves as each vehicle in turn is left out. */
class Spread {
  private count = 0;
  private sum = 0;
  private squares = 0;

  add(shift: number): void {
    this.count += 1;
    this.sum += shift;
    this.squares += shift * shift;
  }

  /** Efron's factor (G − 1)/G with the effective number of vehicles G, not with those that hardly weigh. */
  jackknifeVariance(degreesOfFreedom: number): number {
    return (degreesOfFreedom / (degreesOfFreedom + 1)) * (this.squares - this.sum ** 2 / this.count);
  }
}

/**
 * Of each stratum its totals, what it adds to `ComparisonSums` (0 for one that is not common) and what a shift under
 * either revision weighs in the variance: the square of the other's share. Side by side, because a visit to a stratum
 * that has to fetch each from an array of its own takes three times as long.
 */
class StratumTerms {
  /** Numbers per stratum. */
  readonly stride = 12;
  readonly values: Float64Array;
  readonly commonStrata: number;

  constructor({ olderShifts, olderEvents, newerShifts, newerEvents }: StratumTotals) {
    this.values = new Float64Array(this.stride * olderShifts.length);
    let commonStrata = 0;
    for (let k = 0; k < olderShifts.length; k += 1) {
      const [n0, x0, n1, x1] = [olderShifts[k], olderEvents[k], newerShifts[k], newerEvents[k]];
      if (n0 === 0 || n1 === 0) continue;
      commonStrata += 1;
      const n = n0 + n1;
      const terms = [n0, x0, n1, x1, (n1 / n) ** 2, (n0 / n) ** 2, ...sumTerms(n0, x0, n1, x1)];
      this.values.set(terms, this.stride * k);
    }
    this.commonStrata = commonStrata;
  }
}

/** Of one common stratum n0 n1 / n, (x1 n0 − x0 n1) / n, n, n x0 / n0 and n x1 / n1. */
function sumTerms(n0: number, x0: number, n1: number, x1: number): number[] {
  const n = n0 + n1;
  return [(n0 * n1) / n, (x1 * n0 - x0 * n1) / n, n, (n * x0) / n0, (n * x1) / n1];
}

function sumStrata(totals: StratumTotals, { values, stride, commonStrata }: StratumTerms): ComparisonSums {
  const sums = new Float64Array(5);
  for (let at = 0; at < values.length; at += stride) {
    for (let i = 0; i < 5; i += 1) sums[i] += values[at + 6 + i];
  }
  const [mantelHaenszelWeight, mantelHaenszelSum, standardShifts, standardOlder, standardNewer] = sums;
  return {
    olderShifts: sum(totals.olderShifts),
    olderEvents: sum(totals.olderEvents),
    newerShifts: sum(totals.newerShifts),
    newerEvents: sum(totals.newerEvents),
    commonStrata,
    mantelHaenszelWeight,
    mantelHaenszelSum,
    standardShifts,
    standardOlder,
    standardNewer,
  };
}

interface Jackknifed {
  readonly whole: ComparisonSums;
  readonly terms: StratumTerms;
  readonly table: OutcomeTable;
  readonly ofVehicles: VehicleTotals;
}

interface RestOfFleet extends ComparisonSums {
  /** Share of the vehicle left out in the variance of independent shifts in common strata. */
  readonly varianceShare: number;
}

/**
 * The sums without one vehicle: its strata are taken out and, with what others drove there, put back. Most of the work
 * of a comparison, and so written out: columns looked up once, one division for the three of a stratum.
 */
function withoutVehicle(
  { whole, terms: { values, stride }, table, ofVehicles }: Jackknifed,
  vehicle: number,
): RestOfFleet {
  let [lostStrata, varianceShare] = [0, 0];
  let [weight, difference, all, older, newer] = [0, 0, 0, 0, 0];
  const { vehicleStart, stratum, olderShifts, olderEvents, newerShifts, newerEvents } = table;
  const end = vehicleStart[vehicle + 1];
  for (let entry = vehicleStart[vehicle]; entry < end; entry += 1) {
    const at = stride * stratum[entry];
    const own0 = olderShifts[entry];
    const own1 = newerShifts[entry];
    const n0 = values[at] - own0;
    const n1 = values[at + 2] - own1;
    varianceShare += own0 * values[at + 4] + own1 * values[at + 5];
    weight -= values[at + 6];
    difference -= values[at + 7];
    all -= values[at + 8];
    older -= values[at + 9];
    newer -= values[at + 10];
    if (n0 <= 0 || n1 <= 0) {
      // Only a common stratum is lost; of others the terms are 0, and so is what is left of them.
      if (values[at + 8] > 0) lostStrata += 1;
      continue;
    }
    const x0 = values[at + 1] - olderEvents[entry];
    const x1 = values[at + 3] - newerEvents[entry];
    const n = n0 + n1;
    const inverse = 1 / (n * n0 * n1);
    const ofAll = inverse * n0 * n1;
    weight += n0 * n1 * ofAll;
    difference += (x1 * n0 - x0 * n1) * ofAll;
    all += n;
    older += n * x0 * (inverse * n * n1);
    newer += n * x1 * (inverse * n * n0);
  }
  return {
    olderShifts: whole.olderShifts - ofVehicles.olderShifts[vehicle],
    olderEvents: whole.olderEvents - ofVehicles.olderEvents[vehicle],
    newerShifts: whole.newerShifts - ofVehicles.newerShifts[vehicle],
    newerEvents: whole.newerEvents - ofVehicles.newerEvents[vehicle],
    commonStrata: whole.commonStrata - lostStrata,
    mantelHaenszelWeight: whole.mantelHaenszelWeight + weight,
    mantelHaenszelSum: whole.mantelHaenszelSum + difference,
    standardShifts: whole.standardShifts + all,
    standardOlder: whole.standardOlder + older,
    standardNewer: whole.standardNewer + newer,
    varianceShare,
  };
}

/** Variances of the three differences if all shifts were independent. */
function independentVariances(totals: StratumTotals) {
  const { olderShifts, olderEvents, newerShifts, newerEvents } = totals;
  const common = [...olderShifts.keys()].filter((k) => isCommonStratum(totals, k));
  const pick = (values: Float64Array) => common.map((k) => values[k]);
  const weights = common.map((k) => olderShifts[k] + newerShifts[k]);
  const older = standardisedRate({ events: pick(olderEvents), shifts: pick(olderShifts), weights });
  const newer = standardisedRate({ events: pick(newerEvents), shifts: pick(newerShifts), weights });
  const strata = common.map((k) => ({
    olderShifts: olderShifts[k],
    olderEvents: olderEvents[k],
    newerShifts: newerShifts[k],
    newerEvents: newerEvents[k],
  }));
  return {
    unadjusted: pooledVariance(olderEvents, olderShifts) + pooledVariance(newerEvents, newerShifts),
    mantelHaenszel: commonRiskDifference(strata).satoError ** 2,
    standardised: older.standardError ** 2 + newer.standardError ** 2,
  };
}

function pooledVariance(events: Float64Array, shifts: Float64Array): number {
  const total = sum(shifts);
  const rate = sum(events) / total;
  return (rate * (1 - rate)) / total;
}
