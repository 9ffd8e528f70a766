import { type Effect, type OutcomeMeasure, outcomeMeasure, type Rate } from '@syncline/contract';
import {
  cellOfKey,
  cellOfMatrixPart,
  compareOutcomes,
  compareVehicles,
  type DifferenceEstimate,
  matrixCounts,
  type OutcomeComparison,
  type OutcomeTable,
  overlapShare,
  type PairedSlices,
  pairSlices,
  partsOfTable,
  sumCells,
  type VehicleComparison,
  vehicleColumns,
} from '@syncline/fleet';
import type { FleetSlices, Reads } from '@syncline/store';
import { columnsRate, shareOf } from '../rates.js';

/** Two revisions of one platform. */
export interface RevisionPair {
  readonly platformId: string;
  readonly baseId: string;
  readonly otherId: string;
}

/** An outcome under both revisions and what came of the change. */
export interface ComparedPart {
  readonly baseRate: Rate;
  readonly otherRate: Rate;
  readonly unadjusted: Effect;
  readonly adjusted: Effect;
}

export interface OutcomesCompared {
  /** Share of shifts in strata driven under both; 0 without shifts. */
  readonly overlap: number;
  readonly measures: (ComparedPart & { readonly measure: OutcomeMeasure })[];
}

/** Outcomes, like with like: only operating points driven under both enter the adjusted figures (methods.md 7). */
export function compareAllOutcomes(read: Reads, pair: RevisionPair): OutcomesCompared {
  const { base, other, paired } = openPair(read, pair);
  return {
    overlap: overlapOf(paired),
    measures: outcomeMeasure.options.map((measure) => {
      const table = paired.table(shareOf(measure));
      return { measure, ...comparePart(table, rateOf(base, measure), rateOf(other, measure)) };
    }),
  };
}

export interface OutcomeDetail {
  readonly whole: ComparedPart;
  readonly byKind: (ComparedPart & { readonly kind: string })[];
  readonly byLoadBand: (ComparedPart & { readonly loadBand: number })[];
  /** Cars that drove either; their difference each like with like. */
  readonly byVehicle: VehicleComparison[];
}

/** One measure taken apart by shift kind, by load band and by car. */
export function compareInDetail(read: Reads, pair: RevisionPair & { readonly measure: OutcomeMeasure }): OutcomeDetail {
  const { measure } = pair;
  const { base, other, paired } = openPair(read, pair);
  const table = paired.table(shareOf(measure));
  const sides = [matrixOf(base, measure), matrixOf(other, measure)] as const;
  const places = sides.flatMap((cells) => cells.map(({ place }) => place));
  const byPart = <Name extends keyof Place>(name: Name) => {
    const partOf = partsOfTable(table, (key) => cellOfKey(key)[name]);
    return distinct(places.map((place) => place[name])).map((part) => {
      const [baseRate, otherRate] = sides.map((cells) =>
        columnsRate(sumCells(cells.filter(({ place }) => place[name] === part).map(({ columns }) => columns))),
      );
      return { part, ...comparePart(partOf(part), baseRate, otherRate) };
    });
  };
  return {
    whole: comparePart(table, rateOf(base, measure), rateOf(other, measure)),
    byKind: byPart('kind').map(({ part, ...compared }) => ({ kind: base.names.kinds[part], ...compared })),
    byLoadBand: byPart('loadBand').map(({ part, ...compared }) => ({ loadBand: part, ...compared })),
    byVehicle: compareVehicles(table),
  };
}

type Place = ReturnType<typeof cellOfMatrixPart>;

export interface DrivingOverlap {
  readonly overlap: number;
  readonly cells: {
    readonly kind: string;
    readonly loadBand: number;
    readonly baseShare: number;
    readonly otherShare: number;
  }[];
}

/** How much was driven under each revision at each kind and load band, as a share of its shifts. */
export function compareDriving(read: Reads, pair: RevisionPair): DrivingOverlap {
  const { base, other, paired } = openPair(read, pair);
  const [ofBase, ofOther] = [sharesOf(base), sharesOf(other)];
  return {
    overlap: overlapOf(paired),
    cells: distinct([...ofBase.keys(), ...ofOther.keys()]).map((part) => {
      const { kind, loadBand } = cellOfMatrixPart(part);
      const shares = { baseShare: ofBase.get(part) ?? 0, otherShare: ofOther.get(part) ?? 0 };
      return { kind: base.names.kinds[kind], loadBand, ...shares };
    }),
  };
}

const ALL_SHIFTS = { events: 'shifts', trials: 'shifts' } as const;

function openPair(read: Reads, { platformId, baseId, otherId }: RevisionPair) {
  const base = read.fleet.slices({ platformId, revisionId: baseId });
  const other = read.fleet.slices({ platformId, revisionId: otherId });
  return { base, other, paired: pairSlices(base.slices, other.slices) };
}

function overlapOf(paired: PairedSlices): number {
  const share = overlapShare(paired.table(ALL_SHIFTS));
  return Number.isNaN(share) ? 0 : share;
}

function sharesOf({ slices, cells }: FleetSlices): Map<number, number> {
  const { parts, cells: columns } = matrixCounts(slices, ALL_SHIFTS, cells);
  const counts = columns.map(({ trials }) => trials.reduce((sum, count) => sum + count, 0));
  const all = counts.reduce((sum, count) => sum + count, 0);
  return new Map(parts.map((part, i) => [part, counts[i] / all]));
}

function matrixOf({ slices, cells }: FleetSlices, measure: OutcomeMeasure) {
  const { parts, cells: columns } = matrixCounts(slices, shareOf(measure), cells);
  return parts.map((part, i) => ({ place: cellOfMatrixPart(part), columns: columns[i] }));
}

function rateOf(side: FleetSlices, measure: OutcomeMeasure): Rate {
  return columnsRate(vehicleColumns(side.slices, shareOf(measure), side.cells));
}

function comparePart(table: OutcomeTable, baseRate: Rate, otherRate: Rate): ComparedPart {
  const comparison = compareOutcomes(table);
  return {
    baseRate,
    otherRate,
    unadjusted: toEffect(comparison, 'unadjusted'),
    adjusted: toEffect(comparison, 'adjusted'),
  };
}

function toEffect(comparison: OutcomeComparison, which: 'unadjusted' | 'adjusted'): Effect {
  const { vehicles, shifts } = comparison;
  if (comparison.kind === 'insufficient') return { kind: 'insufficient', reason: comparison.reason, vehicles, shifts };
  const { difference, low, high, probabilityNewerBetter }: DifferenceEstimate = comparison[which];
  return { kind: 'estimate', difference, low, high, probabilityBetter: probabilityNewerBetter, vehicles, shifts };
}

function distinct(values: readonly number[]): number[] {
  return [...new Set(values)].sort((a, b) => a - b);
}
