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

/** Without the sketches, which take most of the room. */
function* sumsOnly(slices: Iterable<PlacedMeasures>): Generator<PlacedMeasures> {
  for (const { slice, ...place } of slices) {
    const { keys, counts } = slice.sums;
    yield { ...place, slice: { buckets: EMPTY_MEASURES.buckets, sums: { keys: keys.slice(), counts } } };
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

function sumCells(
  slices: readonly PlacedMeasures[],
  {
    measure,
    revision,
    isCommon,
  }: { measure: SpreadMeasure; revision: ComparedRevision; isCommon: ReadonlySet<number> },
): CellSums[] {
  const cells = new Map<string, CellSums>();
  for (const { vehicleId, slice } of slices) {
    eachSum(slice, measure, (place, count, steps, squares) => {
      if (!isCommon.has(place)) return;
      const { kind, loadBand, temperatureBand } = cellOfCoveragePart(place);
      const key = `${vehicleId}|${kind}`;
      let sums = cells.get(key);
      if (sums === undefined) {
        const none = { count: 0, steps: 0, squares: 0, load: 0, loadSquared: 0, temperature: 0 };
        cells.set(key, (sums = { vehicle: vehicleId, kind, revision, ...none }));
      }
      const load = middleOf(DEFAULT_FLEET_BANDS.load, loadBand) / 100;
      sums.count += count;
      sums.steps += steps;
      sums.squares += squares;
      sums.load += count * load;
      sums.loadSquared += count * load ** 2;
      sums.temperature += (count * middleOf(DEFAULT_FLEET_BANDS.temperature, temperatureBand)) / 100;
    });
  }
  return [...cells.values()];
}

/** Places driven under both. Where the load was not logged a place is like no other. */
function commonPlaces({ older, newer }: Sides, measure: SpreadMeasure): Set<number> {
  const [before, after] = [older, newer].map((slices) => {
    const places = new Set<number>();
    for (const { slice } of slices) eachSum(slice, measure, (place) => places.add(place));
    return places;
  });
  return new Set(
    [...before].filter((place) => after.has(place) && cellOfCoveragePart(place).loadBand !== UNKNOWN_BAND),
  );
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
