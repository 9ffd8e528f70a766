import { differenceOf, type TableDifference, variantsOf } from '@syncline/calibration';
import { type Effect, type OutcomeMeasure, outcomeMeasure, type Rate } from '@syncline/contract';
import {
  compareOutcomes,
  type DifferenceEstimate,
  type OutcomeComparison,
  type OutcomeRow,
  tabulateOutcomes,
  UNKNOWN_BAND,
} from '@syncline/fleet';
import type { DraftSummary, RevisionSummary, Store, StratumCounts } from '@syncline/store';
import { problem } from '../problem-error.js';
import type { CalibrationService } from './calibrations.js';
import type { ContentService } from './contents.js';
import { fleetRate, OUTCOME_OF_MEASURE, sumByVehicle, trialsOf } from './rates.js';

export interface ComparedRevisions {
  readonly base: RevisionSummary;
  readonly other: RevisionSummary;
}

/** Tables of a draft may be compared like those of a revision. */
export interface TablesCompared {
  readonly base: RevisionSummary | DraftSummary;
  readonly other: RevisionSummary | DraftSummary;
  readonly differences: TableDifference[];
  /** Tables and variants that are the same. */
  readonly equalTableCount: number;
}

export interface OutcomesCompared extends ComparedRevisions {
  readonly overlap: number;
  readonly measures: {
    measure: OutcomeMeasure;
    baseRate: Rate;
    otherRate: Rate;
    unadjusted: Effect;
    adjusted: Effect;
  }[];
}

export type ComparisonService = ReturnType<typeof createComparisonService>;

/** Two revisions side by side: what was changed, and what came of it. */
export function createComparisonService(store: Store, calibrations: CalibrationService, contents: ContentService) {
  return {
    tables(baseReference: string, otherReference: string): TablesCompared {
      const base = contents.open(baseReference);
      const other = contents.open(otherReference);
      assertComparable(base.summary, other.summary);
      if (base.summary.layoutVersion !== other.summary.layoutVersion) {
        throw problem('comparison.incompatible', {
          detail: `Their layouts differ: version ${base.summary.layoutVersion} and ${other.summary.layoutVersion}.`,
        });
      }
      const differences = differenceOf(other.layout, other.platform, base.content, other.content);
      const variantCount = other.layout.tables.reduce((sum, spec) => sum + variantsOf(spec, other.platform).length, 0);
      return {
        base: base.summary,
        other: other.summary,
        differences,
        equalTableCount: variantCount - differences.length,
      };
    },

    /** Outcomes, like with like: only operating points driven under both enter the adjusted figures (methods.md 7). */
    outcomes(baseId: string, otherId: string): OutcomesCompared {
      const base = calibrations.getSummary(baseId);
      const other = calibrations.getSummary(otherId);
      assertComparable(base, other);
      const strata = store.read.fleet.strata([baseId, otherId]);
      const comparisons = outcomeMeasure.options.map((measure) => {
        const rows = strata.map((row) => toOutcomeRow(row, measure, baseId)).filter(({ shifts }) => shifts > 0);
        return { measure, comparison: compareOutcomes(tabulateOutcomes(rows)) };
      });
      const [ofBase, ofOther] = [baseId, otherId].map((id) =>
        sumByVehicle(strata.filter((row) => row.revisionId === id)),
      );
      const { overlapShare } = comparisons[0].comparison;
      return {
        base,
        other,
        overlap: Number.isNaN(overlapShare) ? 0 : overlapShare,
        measures: comparisons.map(({ measure, comparison }) => ({
          measure,
          baseRate: fleetRate(ofBase, OUTCOME_OF_MEASURE[measure]),
          otherRate: fleetRate(ofOther, OUTCOME_OF_MEASURE[measure]),
          unadjusted: toEffect(comparison, 'unadjusted'),
          adjusted: toEffect(comparison, 'adjusted'),
        })),
      };
    },
  };
}

function assertComparable(base: RevisionSummary | DraftSummary, other: RevisionSummary | DraftSummary): void {
  if (base.id === other.id) throw problem('comparison.incompatible', { detail: 'It is the same one twice.' });
  if (base.platformId !== other.platformId) {
    throw problem('comparison.incompatible', {
      detail: `Their platforms differ: '${base.platformId}' and '${other.platformId}'.`,
    });
  }
}

/** A shift whose load was not logged is like no other: it counts unadjusted, in a stratum that no revision shares. */
function toOutcomeRow(row: StratumCounts, measure: OutcomeMeasure, baseId: string): OutcomeRow {
  const place = [row.kind, row.loadBand, row.fluidTemperatureBand, row.program].join('|');
  return {
    stratum: row.loadBand === UNKNOWN_BAND ? `${row.revisionId}|${place}` : place,
    vehicle: row.vehicleId,
    revision: row.revisionId === baseId ? 'older' : 'newer',
    shifts: trialsOf(row, OUTCOME_OF_MEASURE[measure]),
    events: row[OUTCOME_OF_MEASURE[measure]],
  };
}

function toEffect(comparison: OutcomeComparison, which: 'unadjusted' | 'adjusted'): Effect {
  const { vehicles, shifts } = comparison;
  if (comparison.kind === 'insufficient') return { kind: 'insufficient', reason: comparison.reason, vehicles, shifts };
  const { difference, low, high, probabilityNewerBetter }: DifferenceEstimate = comparison[which];
  return { kind: 'estimate', difference, low, high, probabilityBetter: probabilityNewerBetter, vehicles, shifts };
}
