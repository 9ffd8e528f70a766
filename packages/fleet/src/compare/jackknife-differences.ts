import { ComparisonSums } from './comparison-sums.js';
import { standardisedRate } from './direct-standardisation.js';
import { effectiveDegreesOfFreedom } from './effective-vehicles.js';
import { commonRiskDifference } from './mantel-haenszel.js';
import type { OutcomeTable } from './outcome-table.js';
import { isCommonStratum, type StratumTotals } from './stratum-totals.js';

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
 * common strata hang on a single vehicle. O(entries).
 */
export function jackknifeDifferences(table: OutcomeTable, totals: StratumTotals): JackknifedDifferences | null {
  const whole = sumStrata(totals);
  const shifts = { unadjusted: new Spread(), mantelHaenszel: new Spread(), standardised: new Spread() };
  for (let vehicle = 0; vehicle < table.vehicles.length; vehicle += 1) {
    const rest = withoutVehicle(whole, table, totals, vehicle);
    if (!rest.isComparable()) return null;
    shifts.unadjusted.add(rest.unadjusted() - whole.unadjusted());
    shifts.mantelHaenszel.add(rest.mantelHaenszel() - whole.mantelHaenszel());
    shifts.standardised.add(rest.standardised() - whole.standardised());
  }
  const independent = independentVariances(totals);
  const freedom = degreesOfFreedom(table, totals);
  const varianceOf = (which: keyof typeof shifts) => {
    const jackknife = shifts[which].jackknifeVariance(which === 'unadjusted' ? freedom.all : freedom.common);
    // Cars that agree to the last count leave no spread to estimate from; then shifts are taken as independent.
    return jackknife > 1e-9 * independent[which] ? jackknife : independent[which];
  };
  return {
    unadjusted: {
      difference: whole.unadjusted(),
      variance: varianceOf('unadjusted'),
      degreesOfFreedom: freedom.all,
    },
    mantelHaenszel: {
      difference: whole.mantelHaenszel(),
      variance: varianceOf('mantelHaenszel'),
      degreesOfFreedom: freedom.common,
    },
    standardised: {
      difference: whole.standardised(),
      variance: varianceOf('standardised'),
      degreesOfFreedom: freedom.common,
    },
    standardisedRates: whole.standardisedRates(),
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

function sumStrata(totals: StratumTotals): ComparisonSums {
  const sums = new ComparisonSums();
  for (let k = 0; k < totals.olderShifts.length; k += 1) {
    sums.add(1, totals.olderShifts[k], totals.olderEvents[k], totals.newerShifts[k], totals.newerEvents[k]);
  }
  return sums;
}

function withoutVehicle(whole: ComparisonSums, table: OutcomeTable, totals: StratumTotals, vehicle: number) {
  const rest = whole.copy();
  for (let entry = table.vehicleStart[vehicle]; entry < table.vehicleStart[vehicle + 1]; entry += 1) {
    const k = table.stratum[entry];
    const n0 = totals.olderShifts[k];
    const x0 = totals.olderEvents[k];
    const n1 = totals.newerShifts[k];
    const x1 = totals.newerEvents[k];
    rest.add(-1, n0, x0, n1, x1);
    rest.add(
      1,
      n0 - table.olderShifts[entry],
      x0 - table.olderEvents[entry],
      n1 - table.newerShifts[entry],
      x1 - table.newerEvents[entry],
    );
  }
  return rest;
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

function sum(values: Float64Array): number {
  return values.reduce((total, value) => total + value, 0);
}

/** Degrees of freedom by each vehicle's share in the variance of independent shifts. */
function degreesOfFreedom(table: OutcomeTable, totals: StratumTotals) {
  const olderTotal = sum(totals.olderShifts);
  const newerTotal = sum(totals.newerShifts);
  const all = new Float64Array(table.vehicles.length);
  const common = new Float64Array(table.vehicles.length);
  for (let vehicle = 0; vehicle < table.vehicles.length; vehicle += 1) {
    for (let entry = table.vehicleStart[vehicle]; entry < table.vehicleStart[vehicle + 1]; entry += 1) {
      const k = table.stratum[entry];
      const older = table.olderShifts[entry];
      const newer = table.newerShifts[entry];
      all[vehicle] += older / olderTotal ** 2 + newer / newerTotal ** 2;
      if (!isCommonStratum(totals, k)) continue;
      const n0 = totals.olderShifts[k];
      const n1 = totals.newerShifts[k];
      common[vehicle] += (older * n1 ** 2 + newer * n0 ** 2) / (n0 + n1) ** 2;
    }
  }
  return { all: effectiveDegreesOfFreedom(all), common: effectiveDegreesOfFreedom(common) };
}
