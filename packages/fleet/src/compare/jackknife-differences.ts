import { type ComparisonSums, mantelHaenszel, standardised, standardisedRates, unadjusted } from './comparison-sums.js';
import { standardisedRate } from './direct-standardisation.js';
import { effectiveDegreesOfFreedom } from './effective-vehicles.js';
import { commonRiskDifference } from './mantel-haenszel.js';
import type { OutcomeTable } from './outcome-table.js';
import {
  isCommonStratum,
  type StratumTotals,
  sum,
  sumByStratum,
  sumByVehicle,
  type VehicleTotals,
} from './stratum-totals.js';

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
  totals = sumByStratum(table),
  ofVehicles = sumByVehicle(table),
): JackknifedDifferences | null {
  const terms = termsOf(totals);
  const whole = sumStrata(totals, terms);
  const difference = {
    unadjusted: unadjusted(whole),
    mantelHaenszel: mantelHaenszel(whole),
    standardised: standardised(whole),
  };
  const shifts = { unadjusted: new Spread(), mantelHaenszel: new Spread(), standardised: new Spread() };
  const share = { all: new Float64Array(table.vehicles.length), common: new Float64Array(table.vehicles.length) };
  for (let vehicle = 0; vehicle < table.vehicles.length; vehicle += 1) {
    const rest = withoutVehicle({ whole, terms, totals, table, ofVehicles }, vehicle);
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

/** What each stratum adds to `ComparisonSums`; 0 for one that is not common. */
interface StratumTerms {
  readonly weight: Float64Array;
  readonly difference: Float64Array;
  readonly all: Float64Array;
  readonly older: Float64Array;
  readonly newer: Float64Array;
  /** What a shift under either weighs in the variance: the square of the other's share of the stratum. */
  readonly olderWeight: Float64Array;
  readonly newerWeight: Float64Array;
}

function termsOf({ olderShifts, olderEvents, newerShifts, newerEvents }: StratumTotals): StratumTerms {
  const make = () => new Float64Array(olderShifts.length);
  const sums = { weight: make(), difference: make(), all: make(), older: make(), newer: make() };
  const terms = { ...sums, olderWeight: make(), newerWeight: make() };
  for (let k = 0; k < olderShifts.length; k += 1) {
    const [n0, x0, n1, x1] = [olderShifts[k], olderEvents[k], newerShifts[k], newerEvents[k]];
    if (n0 === 0 || n1 === 0) continue;
    const all = n0 + n1;
    terms.weight[k] = (n0 * n1) / all;
    terms.difference[k] = (x1 * n0 - x0 * n1) / all;
    terms.all[k] = all;
    terms.older[k] = (all * x0) / n0;
    terms.newer[k] = (all * x1) / n1;
    terms.olderWeight[k] = (n1 / all) ** 2;
    terms.newerWeight[k] = (n0 / all) ** 2;
  }
  return terms;
}

function sumStrata(totals: StratumTotals, terms: StratumTerms): ComparisonSums {
  return {
    olderShifts: sum(totals.olderShifts),
    olderEvents: sum(totals.olderEvents),
    newerShifts: sum(totals.newerShifts),
    newerEvents: sum(totals.newerEvents),
    commonStrata: terms.all.filter((all) => all > 0).length,
    mantelHaenszelWeight: sum(terms.weight),
    mantelHaenszelSum: sum(terms.difference),
    standardShifts: sum(terms.all),
    standardOlder: sum(terms.older),
    standardNewer: sum(terms.newer),
  };
}

interface Jackknifed {
  readonly whole: ComparisonSums;
  readonly terms: StratumTerms;
  readonly totals: StratumTotals;
  readonly table: OutcomeTable;
  readonly ofVehicles: VehicleTotals;
}

interface RestOfFleet extends ComparisonSums {
  /** Share of the vehicle left out in the variance of independent shifts in common strata. */
  readonly varianceShare: number;
}

/** The sums without one vehicle: its strata are taken out and, with what others drove there, put back. */
function withoutVehicle({ whole, terms, totals, table, ofVehicles }: Jackknifed, vehicle: number): RestOfFleet {
  let { commonStrata, mantelHaenszelWeight, mantelHaenszelSum, standardShifts, standardOlder, standardNewer } = whole;
  let varianceShare = 0;
  // Looked up once: this is most of the work of a comparison.
  const {
    vehicleStart,
    stratum,
    olderShifts: ownN0,
    olderEvents: ownX0,
    newerShifts: ownN1,
    newerEvents: ownX1,
  } = table;
  const { olderShifts: allN0, olderEvents: allX0, newerShifts: allN1, newerEvents: allX1 } = totals;
  const { weight, difference, all, older, newer, olderWeight, newerWeight } = terms;
  const end = vehicleStart[vehicle + 1];
  for (let entry = vehicleStart[vehicle]; entry < end; entry += 1) {
    const k = stratum[entry];
    if (all[k] === 0) continue;
    varianceShare += ownN0[entry] * olderWeight[k] + ownN1[entry] * newerWeight[k];
    mantelHaenszelWeight -= weight[k];
    mantelHaenszelSum -= difference[k];
    standardShifts -= all[k];
    standardOlder -= older[k];
    standardNewer -= newer[k];
    const n0 = allN0[k] - ownN0[entry];
    const n1 = allN1[k] - ownN1[entry];
    if (n0 === 0 || n1 === 0) {
      commonStrata -= 1;
      continue;
    }
    const x0 = allX0[k] - ownX0[entry];
    const x1 = allX1[k] - ownX1[entry];
    const n = n0 + n1;
    mantelHaenszelWeight += (n0 * n1) / n;
    mantelHaenszelSum += (x1 * n0 - x0 * n1) / n;
    standardShifts += n;
    standardOlder += (n * x0) / n0;
    standardNewer += (n * x1) / n1;
  }
  return {
    olderShifts: whole.olderShifts - ofVehicles.olderShifts[vehicle],
    olderEvents: whole.olderEvents - ofVehicles.olderEvents[vehicle],
    newerShifts: whole.newerShifts - ofVehicles.newerShifts[vehicle],
    newerEvents: whole.newerEvents - ofVehicles.newerEvents[vehicle],
    commonStrata,
    mantelHaenszelWeight,
    mantelHaenszelSum,
    standardShifts,
    standardOlder,
    standardNewer,
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
