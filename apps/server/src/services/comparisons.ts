import {
  CalibrationError,
  changesOf,
  differenceOfVariant,
  type TableChange,
  type TableDifference,
  variantsOf,
} from '@syncline/calibration';
import type { OutcomeMeasure } from '@syncline/contract';
import type { DraftSummary, RevisionSummary, Store } from '@syncline/store';
import { problem } from '../problem-error.js';
import type { CalibrationService } from './calibrations.js';
import type { ContentService } from './contents.js';
import { inPlatformOrder } from './fleet.js';
import type { DrivingOverlap, OutcomeDetail, OutcomesCompared } from './fleet-queries/compare-outcomes.js';
import type { SpreadCompared } from './fleet-queries/compare-spreads.js';
import type { FleetQueryPool } from './fleet-queries/queries.js';

export interface ComparedRevisions {
  readonly base: RevisionSummary;
  readonly other: RevisionSummary;
}

/** Tables of a draft may be compared like those of a revision. */
export interface TablesCompared {
  readonly base: RevisionSummary | DraftSummary;
  readonly other: RevisionSummary | DraftSummary;
  readonly differences: TableChange[];
  /** Tables and variants that are the same. */
  readonly equalTableCount: number;
}

export type ComparisonService = ReturnType<typeof createComparisonService>;

/** Two revisions side by side: what was changed, and what came of it. */
export function createComparisonService(
  { read }: Store,
  { calibrations, contents, queries }: ComparisonServiceOptions,
) {
  /** Both, and what the thread is told of them. */
  function open(baseId: string, otherId: string) {
    const base = calibrations.getSummary(baseId);
    const other = calibrations.getSummary(otherId);
    assertComparable(base, other);
    const { platformId } = base;
    const kinds = read.platforms.find(platformId)?.platform.shifts.map(({ id }) => id) ?? [];
    return { base, other, kinds, pair: { platformId, baseId, otherId } };
  }

  function openContents(baseReference: string, otherReference: string) {
    const base = contents.open(baseReference);
    const other = contents.open(otherReference);
    assertComparable(base.summary, other.summary);
    if (base.summary.layoutVersion !== other.summary.layoutVersion) {
      throw problem('comparison.incompatible', {
        detail: `Their layouts differ: version ${base.summary.layoutVersion} and ${other.summary.layoutVersion}.`,
      });
    }
    return { base, other };
  }

  return {
    /** What differs and by how much; the cells of each follow by `table`. */
    tables(baseReference: string, otherReference: string): TablesCompared {
      const { base, other } = openContents(baseReference, otherReference);
      const differences = changesOf(other.layout, other.platform, base.content, other.content);
      const variantCount = other.layout.tables.reduce((sum, spec) => sum + variantsOf(spec, other.platform).length, 0);
      return {
        base: base.summary,
        other: other.summary,
        differences,
        equalTableCount: variantCount - differences.length,
      };
    },

    /** One variant of one table cell by cell. */
    table(baseReference: string, otherReference: string, of: TableVariant): TableDifference {
      const { base, other } = openContents(baseReference, otherReference);
      try {
        return differenceOfVariant(other.layout, of, base.content, other.content);
      } catch (error) {
        if (!(error instanceof CalibrationError)) throw error;
        throw problem('request.invalid', { detail: error.message, cause: error });
      }
    },

    /** See `compareAllOutcomes`. */
    async outcomes(baseId: string, otherId: string): Promise<ComparedRevisions & OutcomesCompared> {
      const { base, other, pair } = open(baseId, otherId);
      return { base, other, ...(await queries.ask('outcomes', pair)) };
    },

    /** See `compareInDetail`. Kinds in the platform's order, cars with their titles, those that weigh most first. */
    async detail(baseId: string, otherId: string, measure: OutcomeMeasure): Promise<DetailOfCars> {
      const { pair, kinds } = open(baseId, otherId);
      const { byKind, byVehicle, ...rest } = await queries.ask('detail', { ...pair, measure });
      const titles = new Map(read.fleet.titles({}, pair.platformId).map(({ vehicleId, title }) => [vehicleId, title]));
      return {
        ...rest,
        byKind: inPlatformOrder(byKind, kinds),
        byVehicle: byVehicle
          .map((part) => ({ ...part, vehicleId: String(part.vehicle), title: titles.get(String(part.vehicle)) ?? '' }))
          .sort((a, b) => b.weight - a.weight || a.title.localeCompare(b.title, 'en')),
      };
    },

    /** See `compareDriving`. */
    async overlap(baseId: string, otherId: string): Promise<DrivingOverlap> {
      const { pair, kinds } = open(baseId, otherId);
      const { overlap, cells } = await queries.ask('driving', pair);
      return { overlap, cells: inPlatformOrder(cells, kinds) };
    },

    /** See `compareSpreads`. */
    async spreads(baseId: string, otherId: string): Promise<SpreadCompared[]> {
      return queries.ask('spreads', open(baseId, otherId).pair);
    },
  };
}

type TableVariant = Pick<TableDifference, 'tableId' | 'variant'>;

interface ComparisonServiceOptions {
  readonly calibrations: CalibrationService;
  readonly contents: ContentService;
  readonly queries: FleetQueryPool;
}

type NamedCar = OutcomeDetail['byVehicle'][number] & { readonly vehicleId: string; readonly title: string };
export type DetailOfCars = Omit<OutcomeDetail, 'byVehicle'> & { readonly byVehicle: NamedCar[] };

function assertComparable(base: RevisionSummary | DraftSummary, other: RevisionSummary | DraftSummary): void {
  if (base.id === other.id) throw problem('comparison.incompatible', { detail: 'It is the same one twice.' });
  if (base.platformId !== other.platformId) {
    throw problem('comparison.incompatible', {
      detail: `Their platforms differ: '${base.platformId}' and '${other.platformId}'.`,
    });
  }
}
