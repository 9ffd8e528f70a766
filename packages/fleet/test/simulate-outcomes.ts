import type { OutcomeRow, OutcomeTable } from '../src/compare/outcome-table.js';
import { tabulateOutcomes } from '../src/compare/outcome-table.js';
import type { Draws } from './random.js';

/** A fleet that drives two revisions; strata are load bands from light to heavy. */
export interface SimulatedFleet {
  readonly vehicles: number;
  /** How many of them have the newer revision; they keep their driving under the older one. */
  readonly newerVehicles: number;
  readonly shiftsPerVehicle: number;
  /** Rate of the older revision by stratum, for the average car. */
  readonly olderRate: readonly number[];
  /** Rate of the newer over the older revision, the same in each stratum. */
  readonly ratio: number;
  /** Share of driving by stratum. */
  readonly olderMix: readonly number[];
  readonly newerMix: readonly number[];
  /** Variance of the factor by which cars differ, mean 1. */
  readonly carVariance: number;
}

/** Draws the outcomes; every car keeps its factor under both revisions. */
export function simulateOutcomes(draws: Draws, fleet: SimulatedFleet): OutcomeTable {
  const rows: OutcomeRow[] = [];
  for (let vehicle = 0; vehicle < fleet.vehicles; vehicle += 1) {
    const factor = draws.gammaOfMeanOne(fleet.carVariance);
    const mileage = fleet.shiftsPerVehicle * draws.gammaOfMeanOne(0.3);
    for (const [stratum, olderRate] of fleet.olderRate.entries()) {
      const drive = (revision: 'older' | 'newer', mix: readonly number[], rate: number) => {
        const shifts = Math.round(mileage * mix[stratum] * draws.gammaOfMeanOne(0.3));
        const events = draws.binomial(shifts, Math.min(1, factor * rate));
        rows.push({ stratum, vehicle, revision, shifts, events });
      };
      drive('older', fleet.olderMix, olderRate);
      if (vehicle < fleet.newerVehicles) drive('newer', fleet.newerMix, fleet.ratio * olderRate);
    }
  }
  return tabulateOutcomes(rows);
}

/** The difference that Mantel–Haenszel weights give the true rates of the average car. */
export function trueAdjustedDifference(table: OutcomeTable, { olderRate, ratio }: SimulatedFleet): number {
  const older = new Float64Array(table.strata.length);
  const newer = new Float64Array(table.strata.length);
  for (const [entry, k] of table.stratum.entries()) {
    older[k] += table.olderShifts[entry];
    newer[k] += table.newerShifts[entry];
  }
  let weights = 0;
  let sum = 0;
  for (const [k, stratum] of table.strata.entries()) {
    const weight = older[k] + newer[k] === 0 ? 0 : (older[k] * newer[k]) / (older[k] + newer[k]);
    weights += weight;
    sum += weight * (ratio - 1) * olderRate[Number(stratum)];
  }
  return sum / weights;
}
