import type { Layout, OperatingQuantity, RevisionContent, TableSpec } from '@syncline/calibration';
import { type CorrectionEstimate, estimateCorrections } from '../src/estimate/estimate-corrections.js';
import { type NodeDesign, nodeDesign } from '../src/estimate/node-design.js';
import { type CountedObservation, kindMomentsOf, type ShiftObservation } from '../src/estimate/shift-moments.js';
import { NO_SHIFTS } from '../src/summaries/grade-counts.js';

export interface SmallTable {
  readonly id: string;
  readonly unit?: string;
  readonly axes?: readonly (readonly number[])[];
  /** Of the axes; default load, then input speed. */
  readonly quantities?: readonly OperatingQuantity[];
  readonly values: Readonly<Record<string, readonly number[]>>;
  readonly spec?: Partial<TableSpec>;
}

/** A design of a few tables without a meaning; a table in kPa is a base table. */
export function smallDesign(tables: readonly SmallTable[]): NodeDesign {
  const specs = tables.map(
    ({ id, unit = 'kPa', axes = [], quantities = ['load', 'inputSpeed'], values, spec }): TableSpec => ({
      id,
      title: id,
      quantity: 'any',
      unit,
      repeat: 'all' in values ? 'once' : 'shift',
      axes: axes.map((breakpoints, a) => ({
        quantity: quantities[a],
        title: 'axis',
        unit: '1',
        breakpoints,
        editable: true,
      })),
      storage: { type: 'f32', resolution: 1, offset: 0 },
      limits: { min: 0, max: 1e6 },
      monotone: [],
      slopeLimits: [],
      defaultValue: 1,
      ...spec,
    }),
  );
  const layout: Layout = {
    platformId: 'small',
    version: 1,
    title: 'Small',
    tables: specs,
    rules: [{ id: 'rule', title: 'Rule', unit: 'kPa', kind: 'product', tables: tables.map(({ id }) => id) }],
  };
  const content: RevisionContent = {
    platformId: 'small',
    layoutVersion: 1,
    tables: Object.fromEntries(tables.map(({ id, axes = [], values }) => [id, { axes, values }])),
  };
  return nodeDesign(layout, content, 'rule');
}

export function aShift(parts: Partial<ShiftObservation> = {}): ShiftObservation {
  return {
    shiftKind: '1-2',
    row: { nodes: [0], shares: [1], gain: 1 },
    y: 0,
    weight: 1,
    counts: { ...NO_SHIFTS, shifts: 1 },
    ...parts,
  };
}

/** The estimate, where there has to be one. */
export function estimated(...input: Parameters<typeof estimateCorrections>): CorrectionEstimate {
  const found = estimateCorrections(...input);
  if (found.kind !== 'estimate') throw new Error('expected an estimate');
  return found;
}

export interface VehicleRow {
  readonly vehicle: string;
  readonly observation: CountedObservation;
}

/** Moments of rows as they are, by vehicle. */
export function unroundedMoments(rows: readonly VehicleRow[]) {
  const kinds = new Map<string, Map<string, CountedObservation[]>>();
  for (const { vehicle, observation } of rows) {
    const own = kinds.get(vehicle) ?? new Map<string, CountedObservation[]>();
    own.set(observation.shiftKind, [...(own.get(observation.shiftKind) ?? []), observation]);
    kinds.set(vehicle, own);
  }
  return new Map(
    [...kinds].map(([vehicle, own]) => [vehicle, new Map([...own].map(([kind, all]) => [kind, kindMomentsOf(all)]))]),
  );
}
