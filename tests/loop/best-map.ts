import { evaluateRule, type RevisionContent } from '@syncline/calibration';
import type { Car } from '@syncline/drivetrain';
import {
  designRows,
  estimateCorrections,
  NO_SHIFTS,
  nodeDesign,
  type ShiftObservation,
  STEADY_PRIOR,
  shiftMomentsOf,
} from '@syncline/fleet';
import { planRequests } from './drive-plan.ts';
import { findIdealPoints, type IdealPoint } from './ideal-points.ts';
import { type Gearset, RULE } from './loop-setting.ts';

/** Places at which the ideal pressure is sought. */
const PLACES = 1800;
/** Fits from nearer and nearer: rows of the design hold to first order. */
const FITS = 3;
/** The estimator wants to see several cars. */
const GROUPS = 8;

/**
 * Fits the layout's tables to the pressures that the average car wants, at places planned as the fleet's requested shifts
 * are: the map that the poor one is made of, and about the best that the layout can hold.
 */
export function findBestMap(gearset: Gearset, average: Car): RevisionContent {
  return fitTables(gearset, findIdealPoints(gearset, average, planRequests(gearset, 'ideal', PLACES)));
}

/** Least squares of ln pressure over the tables, with all the correction made at once. */
function fitTables({ layout, matched }: Gearset, places: readonly IdealPoint[]): RevisionContent {
  let content = matched;
  for (let fit = 0; fit < FITS; fit++) {
    const design = nodeDesign(layout, content, RULE);
    const rowAt = designRows(design);
    const observed = places.flatMap(({ shift, point, pressureKpa }): ShiftObservation[] => {
      const row = rowAt(point);
      if (row.kind === 'insufficient') return [];
      const y = Math.log(pressureKpa / evaluateRule(layout, content, RULE, point).value);
      return [{ shiftKind: shift, row: { ...row, gain: 1 }, y, weight: 1, counts: { ...NO_SHIFTS, shifts: 1 } }];
    });
    const groups = Array.from({ length: GROUPS }, (_, g) => observed.filter((_one, i) => i % GROUPS === g));
    const moments = new Map(groups.map((group, g) => [`group ${g}`, shiftMomentsOf(group)]));
    const estimate = estimateCorrections(design, moments, { prior: STEADY_PRIOR });
    if (estimate.kind === 'insufficient') throw new Error('No place has an ideal pressure.');
    const tables = { ...content.tables };
    for (const { spec, variant, values, start } of design.spans) {
      const table = tables[spec.id];
      const corrected = values.map((value, i) => value * Math.exp(estimate.correctionLn[start + i]));
      tables[spec.id] = { ...table, values: { ...table.values, [variant]: corrected } };
    }
    content = { ...content, tables };
  }
  return content;
}
