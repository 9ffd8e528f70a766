import { DEFAULT_EVIDENCE, type EvidenceThresholds } from '../rates/evidence.js';
import { addedShifts, beliefOf, type DriveGain, driveGain, type RateBelief, type RatePrior } from './drive-gain.js';
import type { CarShifts, ShiftCorrelations } from './effective-shifts.js';
import { pooledCorrelation } from './pooled-correlation.js';
import { usageShares } from './usage-shares.js';

/** An operating point: shift kind, load band, fluid temperature band. */
export interface OperatingCell {
  readonly kind: string;
  readonly loadBand: number;
  readonly temperatureBand: number;
}

/** What each car has driven at a point. */
export interface CellEvidence extends OperatingCell {
  readonly cars: readonly CarShifts[];
}

export interface GapOptions extends EvidenceThresholds {
  /** Dialects that cars of the fleet speak: a point should be known of each. */
  readonly dialects: readonly string[];
  /** Shifts that a car is asked for at most. */
  readonly askShifts: number;
  /** A rate above this hurts (share). */
  readonly rateBound: number;
}

/**
 * Thirty shifts in three cars as for any rate; a dozen of one kind is what can be driven on a few outings without driving
 * for its own sake; and one shift in twenty that flares is felt on every drive (common practice).
 */
export const DEFAULT_GAP_OPTIONS: Omit<GapOptions, 'dialects'> = {
  ...DEFAULT_EVIDENCE,
  askShifts: 12,
  rateBound: 0.05,
};

export type Lack = 'shifts' | 'vehicles' | 'dialects';

/** What is known of a point, what it lacks, and what a drive there by a further car would bring. */
export interface CoverageGap extends OperatingCell, CellGain {
  readonly shifts: number;
  readonly vehicles: number;
  /** Dialects of the fleet that no car has driven here with. */
  readonly missingDialects: readonly string[];
  /** Empty where there is evidence enough. */
  readonly lacks: readonly Lack[];
  /** What to ask for: cars, and shifts of all of them together. */
  readonly wantedVehicles: number;
  readonly wantedShifts: number;
}

export interface CellGain extends DriveGain {
  /** Rate that is believed of the point. */
  readonly rate: number;
}

/** What is known of every point, ready to be asked what a drive brings. */
export interface CoverageModel {
  readonly correlations: ShiftCorrelations;
  /** What a drive of a car at a point brings; undefined for a point that is not of the grid. */
  gainOf(cell: OperatingCell, plan: { vehicleId: string | null; dialect: string | null }): CellGain | undefined;
  /** One point, whether it lacks anything or not; undefined when it is not of the grid. */
  assess(cell: OperatingCell): CoverageGap | undefined;
  /** Points that lack something, the largest gain first. */
  gaps(): CoverageGap[];
}

/**
 * Dialects are too few to estimate how they differ. A fifth of what cars differ by: a single dialect then tells at most
 * what five cars driven without end would.
 */
const DIALECT_SHARE = 0.2;
/** The rate of the kind counts for a point as much as so few independent shifts: a dozen of its own outweigh it. */
const PRIOR_TRIALS = 4;
/** The fleet's rate counts for a kind as much as so many shifts. */
const KIND_PRIOR_SHIFTS = 10;

/**
 * Ranks the points of a fleet by what a drive there would tell (`driveGain`). The belief of a point starts from the rate of
 * its kind, drawn towards the fleet's. `cells` are all points of the grid, those never driven with no cars. O(points · cars).
 */
export function modelCoverage(cells: readonly CellEvidence[], options: GapOptions): CoverageModel {
  const car = pooledCorrelation(cells.map(({ cars }) => cars));
  const correlations = { car, dialect: DIALECT_SHARE * car };
  const priorOf = kindPriors(cells);
  const usage = usageShares(cells.map((cell) => ({ ...cell, shifts: sumOf(cell.cars, ({ shifts }) => shifts) })));
  const points = new Map(
    cells.map((cell, i) => {
      const belief = beliefOf(cell.cars, priorOf(cell.kind), correlations);
      return [keyOf(cell), { cell, belief, usageShare: usage[i] }] as const;
    }),
  );
  const gain = (point: Point, plan: { vehicleId: string | null; dialect: string | null }): CellGain => {
    const { cell, belief, usageShare } = point;
    const added = addedShifts(cell.cars, { ...plan, shifts: options.askShifts }, correlations);
    return { rate: belief.rate, ...driveGain(belief, { added, usageShare, rateBound: options.rateBound }) };
  };
  const assess = (point: Point): CoverageGap => {
    const found = lacksOf(point.cell, options);
    // The car that would tell most: of a dialect that is new here, else of the one that is driven least.
    const dialect = found.missingDialects[0] ?? leastOf(point, options);
    return { ...found, ...gain(point, { vehicleId: null, dialect }) };
  };
  return {
    correlations,
    gainOf(cell, plan) {
      const point = points.get(keyOf(cell));
      return point && gain(point, plan);
    },
    assess(cell) {
      const point = points.get(keyOf(cell));
      return point && assess(point);
    },
    gaps: () =>
      [...points.values()]
        .map(assess)
        .filter(({ lacks }) => lacks.length > 0)
        .sort((a, b) => b.gain - a.gain || a.shifts - b.shifts),
  };
}

interface Point {
  readonly cell: CellEvidence;
  readonly belief: RateBelief;
  readonly usageShare: number;
}

function lacksOf({ kind, loadBand, temperatureBand, cars }: CellEvidence, options: GapOptions) {
  const { dialects, minShifts, minVehicles, askShifts } = options;
  const driven = cars.filter(({ shifts }) => shifts > 0);
  const shifts = sumOf(driven, (car) => car.shifts);
  const vehicles = driven.length;
  const missingDialects = dialects.filter((dialect) => !driven.some((car) => car.dialect === dialect));
  const lacks: Lack[] = [];
  if (shifts < minShifts) lacks.push('shifts');
  if (vehicles < minVehicles) lacks.push('vehicles');
  // With a single dialect in the fleet there is none to be missed.
  if (dialects.length > 1 && missingDialects.length > 0) lacks.push('dialects');
  const wantedVehicles = Math.max(1, minVehicles - vehicles, missingDialects.length);
  const share = Math.min(
    askShifts,
    Math.max(Math.ceil(askShifts / 2), Math.ceil((minShifts - shifts) / wantedVehicles)),
  );
  const wantedShifts = wantedVehicles * share;
  return { kind, loadBand, temperatureBand, shifts, vehicles, missingDialects, lacks, wantedVehicles, wantedShifts };
}

/** The dialect that is driven least here; null where none is known. */
function leastOf({ cell }: Point, { dialects }: GapOptions): string | null {
  const shiftsOf = (dialect: string) =>
    sumOf(
      cell.cars.filter((car) => car.dialect === dialect),
      ({ shifts }) => shifts,
    );
  return [...dialects].sort((a, b) => shiftsOf(a) - shiftsOf(b))[0] ?? null;
}

function kindPriors(cells: readonly CellEvidence[]): (kind: string) => RatePrior {
  const totals = new Map<string, { shifts: number; events: number }>();
  const fleet = { shifts: 0, events: 0 };
  for (const { kind, cars } of cells) {
    const ofKind = totals.get(kind) ?? { shifts: 0, events: 0 };
    for (const sum of [ofKind, fleet]) {
      sum.shifts += sumOf(cars, ({ shifts }) => shifts);
      sum.events += sumOf(cars, ({ events }) => events);
    }
    totals.set(kind, ofKind);
  }
  // Half an event on each side keeps a fleet without any from being sure of a rate of 0.
  const fleetRate = (fleet.events + 0.5) / (fleet.shifts + 1);
  return (kind) => {
    const { shifts, events } = totals.get(kind) ?? { shifts: 0, events: 0 };
    return { mean: (events + KIND_PRIOR_SHIFTS * fleetRate) / (shifts + KIND_PRIOR_SHIFTS), trials: PRIOR_TRIALS };
  };
}

function keyOf({ kind, loadBand, temperatureBand }: OperatingCell): string {
  return `${kind}|${loadBand}|${temperatureBand}`;
}

function sumOf<T>(items: readonly T[], value: (item: T) => number): number {
  return items.reduce((sum, item) => sum + value(item), 0);
}
