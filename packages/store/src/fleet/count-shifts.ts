import {
  cellKey,
  MeasureCounter,
  type MeasureSlice,
  OutcomeCounter,
  type OutcomeSlice,
  SLICE_COUNTS,
  SLICE_MEASURES,
} from '@syncline/fleet';
import type { Db } from '../database/context.js';
import { GRADE_BITS } from '../shifts/bit-set.js';
import type { NameNumbers } from './summary-names.js';

/** What one car did under one revision. */
export interface Summary {
  readonly outcomes: OutcomeSlice;
  readonly measures: MeasureSlice;
}

/** Where a summary belongs; an absent revision is ''. */
export interface SummaryPlace {
  readonly platformId: string;
  readonly revisionId: string;
  readonly vehicleId: string;
}

export interface PlacedSummary extends SummaryPlace {
  readonly summary: Summary;
}

type Measured = number | null;
/** A shift as far as it is counted. */
export type CountedRow = readonly [
  platformId: string,
  revisionId: string,
  vehicleId: string,
  kind: string,
  program: string | null,
  loadBand: number,
  temperatureBand: number,
  speedBand: number,
  grades: number,
  inertiaStartS: Measured,
  ...measured: Measured[],
];

/** Columns of the shifts table in the order of `SLICE_MEASURES`. */
const MEASURE_COLUMNS: Readonly<Record<(typeof SLICE_MEASURES)[number]['id'], string>> = {
  flareRpm: 'flare_rpm',
  shiftTimeS: 'shift_time_s',
  inertiaTimeS: 'inertia_time_s',
  delayS: 'delay_s',
  peakJerk: 'peak_jerk',
  tieUpDepth: 'tie_up_depth',
  slipEnergyJ: 'slip_energy_j',
};
const COUNTED = `platform_id, coalesce(revision_id, ''), vehicle_id, kind, program, load_band, fluid_temperature_band, speed_band,
  grades, inertia_start_s, ${SLICE_MEASURES.map(({ id }) => MEASURE_COLUMNS[id]).join(', ')}`;
const FIRST_MEASURE = 10;
const [FLARE, TIE_UP, JERK, INERTIA_TIME] = (['flareRpm', 'tieUpDepth', 'peakJerk', 'inertiaTimeS'] as const).map(
  (id) => SLICE_MEASURES.findIndex((measure) => measure.id === id),
);

/** Whose shifts are counted. */
export type Counted = { readonly logId: string } | { readonly vehicleId: string };

/**
 * Counts shifts by platform, revision and car. Names that the summaries do not know yet get numbers, which are kept
 * only by `NameNumbers.keep`. Rows are read one by one, so that any number of them may be counted.
 */
export function countShifts(db: Db, of: Counted, numbersOf: (platformId: string) => NameNumbers): PlacedSummary[] {
  const counters = new Map<string, SummaryPlace & { readonly counter: ShiftCounter }>();
  for (const row of eachRow(db, of)) {
    const [platformId, revisionId, vehicleId] = row;
    const key = placeKey({ platformId, revisionId, vehicleId });
    let found = counters.get(key);
    if (found === undefined) {
      found = { platformId, revisionId, vehicleId, counter: new ShiftCounter(numbersOf(platformId)) };
      counters.set(key, found);
    }
    found.counter.add(row);
  }
  return [...counters.values()].map(({ counter, ...place }) => ({ ...place, summary: counter.counted() }));
}

/** One text for each place. */
export function placeKey({ platformId, revisionId, vehicleId }: SummaryPlace): string {
  return [platformId, revisionId, vehicleId].join(' | ');
}

function eachRow(db: Db, of: Counted): Iterable<CountedRow> {
  const [column, value] = 'logId' in of ? ['log_id', of.logId] : ['vehicle_id', of.vehicleId];
  const statement = db.$client.prepare<[string], CountedRow>(`SELECT ${COUNTED} FROM shifts WHERE ${column} = ?`);
  return statement.raw().iterate(value);
}

/** Adds up the shifts of one place, as `OutcomeCounts` and `SLICE_MEASURES` count them. */
export class ShiftCounter {
  private readonly outcomes = new OutcomeCounter();
  private readonly measures = new MeasureCounter();
  private readonly numbers: NameNumbers;
  private readonly counts = new Float64Array(SLICE_COUNTS.length);
  private readonly measured = new Float64Array(SLICE_MEASURES.length);

  constructor(numbers: NameNumbers) {
    this.numbers = numbers;
  }

  add(row: CountedRow): void {
    const [, , , kind, program, loadBand, temperatureBand, speedBand, grades, inertiaStartS] = row;
    const { counts, measured } = this;
    for (let m = 0; m < measured.length; m++) measured[m] = (row[FIRST_MEASURE + m] as Measured) ?? Number.NaN;
    // A flare that nobody could have seen is no flare of 0 rpm.
    const canTellFlare = inertiaStartS !== null || (grades & GRADE_BITS.flare) !== 0;
    if (!canTellFlare) measured[FLARE] = Number.NaN;
    counts[0] = 1;
    GRADES.forEach((grade, i) => (counts[1 + i] = (grades & GRADE_BITS[grade]) === 0 ? 0 : 1));
    TOLD_BY.forEach((m, i) => (counts[1 + GRADES.length + i] = Number.isNaN(measured[m]) ? 0 : 1));
    const key = cellKey({
      kind: this.numbers.kind(kind),
      loadBand,
      temperatureBand,
      program: this.numbers.program(program),
      speedBand,
    });
    this.outcomes.add(key, counts);
    this.measures.add(key, measured);
  }

  counted(): Summary {
    return { outcomes: this.outcomes.counted(), measures: this.measures.counted() };
  }
}

/** In the order of `SLICE_COUNTS`: the grades, then the measures that tell whether there is a flare, a tie-up and so on. */
const GRADES = ['flare', 'tie-up', 'harsh', 'slow', 'incomplete', 'clean'] as const;
const TOLD_BY = [FLARE, TIE_UP, JERK, INERTIA_TIME];
