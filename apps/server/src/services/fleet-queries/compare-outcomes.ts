import { type Effect, type OutcomeMeasure, outcomeMeasure, type Rate } from '@syncline/contract';
import {
  cellOfKey,
  cellOfMatrixPart,
  compareOutcomes,
  compareVehicles,
  type DifferenceEstimate,
  EntryRoom,
  kindPart,
  matrixPart,
  type OutcomeComparison,
  type OutcomeTable,
  PairedSlices,
  partsOfTable,
  type VehicleComparison,
} from '@syncline/fleet';
import type { FleetSlices, Reads } from '@syncline/store';
import { shareOf, toRate } from '../rates.js';

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
  const { paired } = openPair(read, pair);
  return {
    overlap: overlapOf(paired.totals('shifts')),
    measures: outcomeMeasure.options.map((measure) => ({
      measure,
      ...paired.withTable(shareOf(measure), comparePart),
    })),
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
  const { paired, names, parts } = openPair(read, pair);
  return paired.withTable(shareOf(pair.measure), (table) => {
    const byPart = (partOf: (key: number) => number) => {
      const tableOf = partsOfTable(table, partOf, parts);
      return distinct(paired.keyOf.map(partOf)).map((part) => ({ part, ...comparePart(tableOf(part)) }));
    };
    return {
      whole: comparePart(table),
      byKind: byPart(kindPart).map(({ part, ...compared }) => ({ kind: names.kinds[part], ...compared })),
      byLoadBand: byPart(loadBandOf).map(({ part, ...compared }) => ({ loadBand: part, ...compared })),
      byVehicle: compareVehicles(table),
    };
  });
}

const loadBandOf = (key: number) => cellOfKey(key).loadBand;

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
  const { paired, names } = openPair(read, pair);
  const shifts = paired.totals('shifts');
  const [ofBase, ofOther] = [sharesOf(paired, shifts.older), sharesOf(paired, shifts.newer)];
  return {
    overlap: overlapOf(shifts),
    cells: distinct(paired.keyOf.map(matrixPart)).map((part) => {
      const { kind, loadBand } = cellOfMatrixPart(part);
      const shares = { baseShare: ofBase.get(part) ?? 0, otherShare: ofOther.get(part) ?? 0 };
      return { kind: names.kinds[kind], loadBand, ...shares };
    }),
  };
}

interface OpenPair {
  /** What it was made from. */
  readonly key: string;
  readonly names: FleetSlices['names'];
  readonly paired: PairedSlices;
  readonly parts: EntryRoom;
}

/**
 * The pair asked for last: a page asks for its outcomes, their detail and the overlap one after another. The next takes
 * its memory over, some 20 MB for 500 cars.
 */
const lastPairs = new WeakMap<Reads, OpenPair>();

function openPair(read: Reads, { platformId, baseId, otherId }: RevisionPair): OpenPair {
  const key = [baseId, otherId, read.fleet.state({ platformId, revisionIds: [baseId, otherId] })].join(' ');
  const last = lastPairs.get(read);
  if (last?.key === key) return last;
  lastPairs.delete(read);
  const base = read.fleet.slices({ platformId, revisionId: baseId });
  const other = read.fleet.slices({ platformId, revisionId: otherId });
  const { paired, parts } = last ?? { paired: new PairedSlices(), parts: new EntryRoom() };
  paired.pair(base.slices, other.slices);
  const pair = { key, names: base.names, paired, parts };
  lastPairs.set(read, pair);
  return pair;
}

type SideTotals = ReturnType<PairedSlices['totals']>;

/** Share of shifts in strata driven under both; 0 without shifts. */
function overlapOf({ older, newer }: SideTotals): number {
  let [common, all] = [0, 0];
  for (let k = 0; k < older.length; k++) {
    all += older[k] + newer[k];
    if (older[k] > 0 && newer[k] > 0) common += older[k] + newer[k];
  }
  return all === 0 ? 0 : common / all;
}

function sharesOf({ keyOf }: PairedSlices, shifts: Float64Array): Map<number, number> {
  const counts = new Map<number, number>();
  keyOf.forEach((key, k) => counts.set(matrixPart(key), (counts.get(matrixPart(key)) ?? 0) + shifts[k]));
  const all = shifts.reduce((sum, count) => sum + count, 0);
  return new Map([...counts].map(([part, count]) => [part, all === 0 ? 0 : count / all]));
}

function comparePart(table: OutcomeTable): ComparedPart {
  const comparison = compareOutcomes(table);
  return {
    baseRate: toRate(comparison.older.rate, comparison.older.events),
    otherRate: toRate(comparison.newer.rate, comparison.newer.events),
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
