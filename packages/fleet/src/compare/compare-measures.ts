import { fitMixedModel, type MixedModelFit, type MixedModelInsufficient } from '../model/fit-mixed-model.js';
import type { MixedModelData } from '../model/mixed-model-data.js';
import { type EvidenceThresholds, evidenceOf } from '../rates/evidence.js';
import { studentCdf, studentCritical } from '../special/student.js';
import type { Moments } from '../summaries/moments.js';
import { effectiveDegreesOfFreedom } from './effective-vehicles.js';
import { type KeyIndex, keyIndex } from './key-index.js';
import type { ComparedRevision } from './outcome-table.js';

/** A continuous measure (shift time, peak jerk) of one vehicle, shift kind and operating point under one revision. */
export interface MeasureCell {
  readonly vehicle: string | number;
  /** Shift, e.g. `3-4`. */
  readonly kind: string | number;
  readonly revision: ComparedRevision;
  /** What else the measure is adjusted for, e.g. mean load and its square; all cells alike. */
  readonly covariates: readonly number[];
  readonly moments: Moments;
}

export interface CompareMeasuresOptions extends Partial<EvidenceThresholds> {
  /** Default 0.95. */
  readonly confidence?: number;
}

export interface MeasureEstimate {
  readonly kind: 'estimate';
  /** Newer minus older, in the measure's unit. */
  readonly difference: number;
  readonly standardError: number;
  readonly low: number;
  readonly high: number;
  /** Posterior probability, under a flat prior, that the newer revision has the lower mean. */
  readonly probabilityNewerLower: number;
  readonly degreesOfFreedom: number;
  readonly shifts: number;
  readonly vehicles: number;
  readonly fit: MixedModelFit;
}

export interface MeasureInsufficient {
  readonly kind: 'insufficient';
  readonly reason: 'tooFewShifts' | 'tooFewVehicles' | MixedModelInsufficient['reason'];
  /** The smaller of the two revisions' counts. */
  readonly shifts: number;
  readonly vehicles: number;
}

export type MeasureComparison = MeasureEstimate | MeasureInsufficient;

/**
 * Compares a continuous measure under two revisions by a mixed model (methods.md 7): a mean per shift kind, covariates
 * and the revision as fixed effects; vehicle, vehicle × revision and vehicle × shift kind as random ones, so that cars
 * which take to the new revision differently widen the interval. Works from merged summaries.
 */
export function compareMeasures(
  cells: readonly MeasureCell[],
  options: CompareMeasuresOptions = {},
): MeasureComparison {
  const { minShifts, minVehicles } = evidenceOf(options);
  const filled = cells.filter(({ moments }) => moments.count > 0);
  const vehicles = keyIndex(filled.map(({ vehicle }) => vehicle));
  const driving = { older: drivingOf(filled, vehicles, 'older'), newer: drivingOf(filled, vehicles, 'newer') };
  const fewest = {
    shifts: Math.min(driving.older.shifts, driving.newer.shifts),
    vehicles: Math.min(driving.older.vehicles, driving.newer.vehicles),
  };
  if (fewest.shifts < minShifts) return { kind: 'insufficient', reason: 'tooFewShifts', ...fewest };
  if (fewest.vehicles < minVehicles) return { kind: 'insufficient', reason: 'tooFewVehicles', ...fewest };

  const fit = fitMixedModel(modelOf(filled, vehicles));
  if (fit.kind === 'insufficient') return { kind: 'insufficient', reason: fit.reason, ...fewest };
  const { estimate, standardError } = fit.fixed[0];
  const degreesOfFreedom = effectiveDegreesOfFreedom(
    driving.older.byVehicle.map(
      (older, j) => older / driving.older.shifts ** 2 + driving.newer.byVehicle[j] / driving.newer.shifts ** 2,
    ),
  );
  const half = studentCritical(options.confidence ?? 0.95, degreesOfFreedom) * standardError;
  return {
    kind: 'estimate',
    difference: estimate,
    standardError,
    low: estimate - half,
    high: estimate + half,
    probabilityNewerLower: studentCdf(-estimate / standardError, degreesOfFreedom),
    degreesOfFreedom,
    shifts: driving.older.shifts + driving.newer.shifts,
    vehicles: vehicles.count,
    fit,
  };
}

function drivingOf(cells: readonly MeasureCell[], vehicles: KeyIndex, revision: ComparedRevision) {
  const byVehicle = new Float64Array(vehicles.count);
  for (const [row, cell] of cells.entries()) {
    if (cell.revision === revision) byVehicle[vehicles.index[row]] += cell.moments.count;
  }
  return {
    byVehicle,
    shifts: byVehicle.reduce((sum, count) => sum + count, 0),
    vehicles: byVehicle.filter((count) => count > 0).length,
  };
}

/** Fixed columns: revision first, then one per shift kind, then the covariates. */
function modelOf(cells: readonly MeasureCell[], vehicles: KeyIndex): MixedModelData {
  const kinds = keyIndex(cells.map(({ kind }) => kind));
  const vehicleKinds = keyIndex(cells.map((_, row) => vehicles.index[row] * kinds.count + kinds.index[row]));
  const newer = Float64Array.from(cells, ({ revision }) => (revision === 'newer' ? 1 : 0));
  const covariates = cells[0].covariates.map((_, c) => ({
    name: `covariate ${c}`,
    values: Float64Array.from(cells, (cell) => cell.covariates[c]),
  }));
  const byVehicle = { level: vehicles.index, levelCount: vehicles.count };
  const byVehicleAndKind = { level: vehicleKinds.index, levelCount: vehicleKinds.count };
  return {
    response: Float64Array.from(cells, ({ moments }) => moments.mean),
    weights: Float64Array.from(cells, ({ moments }) => moments.count),
    withinSumOfSquares: cells.reduce((sum, { moments }) => sum + moments.m2, 0),
    fixed: [
      { name: 'newer revision', values: newer },
      ...kinds.keys.map((kind, k) => ({
        name: `shift ${kind}`,
        values: Float64Array.from(kinds.index, (index) => (index === k ? 1 : 0)),
      })),
      ...covariates,
    ],
    random: [
      { name: 'vehicle', ...byVehicle },
      { name: 'vehicle × revision', ...byVehicle, columns: [newer] },
      ...(kinds.count > 1 ? [{ name: 'vehicle × shift', ...byVehicleAndKind }] : []),
    ],
  };
}
