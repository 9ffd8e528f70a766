import { type Effect, SPREAD_MEASURES, type SpreadMeasure } from '@syncline/contract';
import {
  type Banding,
  bandLimits,
  type ComparedRevision,
  cellOfCoveragePart,
  compareMeasures,
  DEFAULT_FLEET_BANDS,
  EMPTY_MEASURES,
  eachSum,
  type MeasureCell,
  type MeasureComparison,
  PLACE_LIMIT,
  type PlacedMeasures,
  stepOf,
  UNKNOWN_BAND,
} from '@syncline/fleet';
import type { Reads } from '@syncline/store';
import type { RevisionPair } from './compare-outcomes.js';

export interface SpreadCompared {
  readonly measure: SpreadMeasure;
  /** Over all driving, whatever its mix; null without any. In the measure's unit. */
  readonly baseMean: number | null;
  readonly otherMean: number | null;
  readonly baseShifts: number;
  readonly otherShifts: number;
  readonly adjusted: Effect;
}

/**
 * Difference of the mean of each measured quantity, other minus base in its unit, by the mixed model of
 * `compareMeasures`: revision fixed, car, car × revision and car × shift kind random. Like with like: only shift kinds,
 * load bands and temperature bands driven under both enter. Their sums are put together by car, kind and revision, with
 * the mean load, its square and the mean temperature of what was driven as covariates, so that the fit takes as long as
 * there are cars and not as there are operating points.
 */
export function compareSpreads(read: Reads, { platformId, baseId, otherId }: RevisionPair): SpreadCompared[] {
  const sums = (revisionId: string) => [...sumsOnly(read.fleet.measures({ platformId, revisionId }).slices())];
  const sides = { older: sums(baseId), newer: sums(otherId) };
  return SPREAD_MEASURES.map((measure) => {
    const [base, other] = [meanOf(sides.older, measure), meanOf(sides.newer, measure)];
    return {
      measure,
      baseMean: base.mean,
      otherMean: other.mean,
      baseShifts: base.shifts,
      otherShifts: other.shifts,
      adjusted: toEffect(compareCells(cellsOf(sides, measure))),
    };
  });
}

type Sides = Readonly<Record<ComparedRevision, readonly PlacedMeasures[]>>;

/** Without the sketches, which take most of the room: copies, so that nothing holds their bytes. */
function* sumsOnly(slices: Iterable<PlacedMeasures>): Generator<PlacedMeasures> {
  for (const { slice, ...place } of slices) {
    const { keys, counts } = slice.sums;
    yield {
      ...place,
      slice: { buckets: EMPTY_MEASURES.buckets, sums: { keys: keys.slice(), counts: counts.slice() } },
    };
  }
}

function meanOf(slices: readonly PlacedMeasures[], measure: SpreadMeasure) {
  let [shifts, total] = [0, 0];
  for (const { slice } of slices) {
    eachSum(slice, measure, (_, count, steps) => {
      shifts += count;
      total += steps;
    });
  }
  return { shifts, mean: shifts === 0 ? null : (total / shifts) * stepOf(measure) };
}

/** Sums of one car, kind and revision over the places that count. */
interface CellSums {
  readonly vehicle: string;
  readonly kind: number;
  readonly revision: ComparedRevision;
  count: number;
  steps: number;
  squares: number;
  load: number;
  loadSquared: number;
  temperature: number;
}

function cellsOf(sides: Sides, measure: SpreadMeasure): MeasureCell[] {
  const isCommon = commonPlaces(sides, measure);
  const step = stepOf(measure);
  const cells = (['older', 'newer'] as const).flatMap((revision) =>
    sumCells(sides[revision], { measure, revision, isCommon }),
  );
  return cells.map(({ vehicle, kind, revision, count, steps, squares, load, loadSquared, temperature }) => ({
    vehicle,
    kind,
    revision,
    covariates: [load / count, loadSquared / count, temperature / count],
    moments: { count, mean: (steps / count) * step, m2: Math.max(0, squares - steps ** 2 / count) * step ** 2 },
  }));
}

/** A car has one slice under a revision, and places rise in it by kind first: each cell is one stretch of a slice. */
function sumCells(
  slices: readonly PlacedMeasures[],
  {
    measure,
    revision,
    isCommon,
  }: { measure: SpreadMeasure; revision: ComparedRevision; isCommon: (place: number) => boolean },
): CellSums[] {
  const cells: CellSums[] = [];
  for (const { vehicleId, slice } of slices) {
    let cell: CellSums | undefined;
    eachSum(slice, measure, (place, count, steps, squares) => {
      if (!isCommon(place)) return;
      const { kind, load, temperature } = placeOf(place);
      if (cell?.kind !== kind) {
        const none = { count: 0, steps: 0, squares: 0, load: 0, loadSquared: 0, temperature: 0 };
        cells.push((cell = { vehicle: vehicleId, kind, revision, ...none }));
      }
      cell.count += count;
      cell.steps += steps;
      cell.squares += squares;
      cell.load += count * load;
      cell.loadSquared += count * load ** 2;
      cell.temperature += count * temperature;
    });
  }
  return cells;
}

/** Places driven under both. Where the load was not logged a place is like no other. */
function commonPlaces({ older, newer }: Sides, measure: SpreadMeasure): (place: number) => boolean {
  const [before, after] = [older, newer].map((slices) => {
    const driven = new Uint8Array(PLACE_LIMIT);
    for (const { slice } of slices) eachSum(slice, measure, (place) => (driven[place] = 1));
    return driven;
  });
  return (place) => before[place] === 1 && after[place] === 1 && placeOf(place).hasLoad;
}

interface Place {
  readonly kind: number;
  readonly hasLoad: boolean;
  /** As parts of 100 % and of 100 °C, in the middle of the bands. */
  readonly load: number;
  readonly temperature: number;
}

/** What each place stands for, found once: it is asked for a million times. */
const places: (Place | undefined)[] = [];

function placeOf(place: number): Place {
  let found = places[place];
  if (found === undefined) {
    const { kind, loadBand, temperatureBand } = cellOfCoveragePart(place);
    found = {
      kind,
      hasLoad: loadBand !== UNKNOWN_BAND,
      load: middleOf(DEFAULT_FLEET_BANDS.load, loadBand) / 100,
      temperature: middleOf(DEFAULT_FLEET_BANDS.temperature, temperatureBand) / 100,
    };
    places[place] = found;
  }
  return found;
}

/** The middle of a band; open ones are taken for as wide as their neighbours, and one that was not logged for the middle. */
function middleOf({ edges }: Banding, band: number): number {
  if (band === UNKNOWN_BAND) return (edges[0] + edges[edges.length - 1]) / 2;
  const { low, high } = bandLimits(edges, band);
  if (!Number.isFinite(low)) return high - (edges[1] - edges[0]) / 2;
  if (!Number.isFinite(high)) return low + (edges[edges.length - 1] - edges[edges.length - 2]) / 2;
  return (low + high) / 2;
}

/** Without covariates that do not vary, and without any where they follow from the rest. */
function compareCells(cells: readonly MeasureCell[]): MeasureComparison {
  const varies = (c: number) => cells.some(({ covariates }) => Math.abs(covariates[c] - cells[0].covariates[c]) > 1e-9);
  const varying = [0, 1, 2].filter(varies);
  const withThem = compareMeasures(
    cells.map((cell) => ({ ...cell, covariates: varying.map((c) => cell.covariates[c]) })),
  );
  if (withThem.kind === 'estimate' || withThem.reason !== 'dependentFixedColumns') return withThem;
  return compareMeasures(cells.map((cell) => ({ ...cell, covariates: [] })));
}

function toEffect(comparison: MeasureComparison): Effect {
  const { vehicles, shifts } = comparison;
  if (comparison.kind === 'insufficient') {
    return { kind: 'insufficient', reason: REASONS[comparison.reason], vehicles, shifts };
  }
  const { difference, low, high, probabilityNewerLower } = comparison;
  return { kind: 'estimate', difference, low, high, probabilityBetter: probabilityNewerLower, vehicles, shifts };
}

/** Values that do not vary at all tell no more than events that never happened. */
const REASONS = {
  tooFewShifts: 'tooFewShifts',
  tooFewVehicles: 'tooFewVehicles',
  tooFewObservations: 'tooFewShifts',
  dependentFixedColumns: 'noOverlap',
  noResidualVariation: 'tooFewEvents',
} as const satisfies Record<Extract<MeasureComparison, { kind: 'insufficient' }>['reason'], string>;
