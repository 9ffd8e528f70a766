import { type OutcomeRow, tabulateOutcomes } from '../compare/outcome-table.js';
import { UNKNOWN_BAND } from '../summaries/bands.js';
import { lookAtRollout, type MonitorOptions, type RolloutLook } from './rollout-monitor.js';

/** What a rollout is watched for. */
export const WATCHED_MEASURES = ['flare', 'harsh'] as const;
export type WatchedMeasure = (typeof WATCHED_MEASURES)[number];

/** One drive in one operating-point stratum, with each watched measure. */
export interface WatchedRow extends Pick<OutcomeRow, 'vehicle' | 'revision'> {
  readonly drive: string;
  /** Names the operating point: shift, load band, fluid temperature band, program. */
  readonly stratum: string;
  readonly loadBand: number;
  /** Shifts in which the measure could be told, and those with the grade. */
  readonly outcomes: Readonly<Record<WatchedMeasure, { readonly shifts: number; readonly events: number }>>;
}

/** A look at one measure, in all driving (`loadBand` null) or in one load band. */
export interface PartLook {
  readonly measure: WatchedMeasure;
  readonly loadBand: number | null;
  readonly look: RolloutLook;
  /** Raised beyond the limit by a plain interval of 99 %, which one look in two hundred shows by chance. */
  readonly isDoubtful: boolean;
}

/**
 * `harm` when any part shows it: hold. `doubtful` when any part looks raised and more driving has to tell: do not go
 * on. `safe` when all driving is shown to be; `open` else. `insufficient` when no part tells anything.
 */
export type WatchVerdict = RolloutLook['kind'] | 'doubtful';

export interface RolloutWatch {
  readonly verdict: WatchVerdict;
  readonly parts: readonly PartLook[];
}

export interface WatchOptions extends Pick<MonitorOptions, 'harmLimit' | 'falseAlarm'> {
  /** Number of load bands that are looked at one by one. */
  readonly loadBands: number;
}

/** Changes of a rate that are to be seen soonest: one that many drives show, and one that hurts in the first few. */
const MIXING_SDS = [0.03, 0.2] as const;

/** Of the plain interval that a part is doubtful by. */
const DOUBT_CONFIDENCE = 0.99;

/**
 * One look at a running release (methods.md 7): flare and harsh rate against the revision replaced, over all driving
 * and in each load band, since a table that is wrong in one corner drowns in the average. Each car is compared with
 * itself at the same operating point: cars differ more than revisions do, and those of an early stage are few. Chance
 * is taken to work by the drive (its fluid, road and driver), so drives and not cars are left out in turn for the
 * variance: what is shown holds for the cars that drove. A car that never drove the replaced revision adds nothing.
 *
 * `falseAlarm` (default 0.05) is for all looks, measures and bands together, shared out evenly (Bonferroni), so that
 * looking often and at much inflates nothing. O(rows).
 */
export function watchRollout(rows: readonly WatchedRow[], options: WatchOptions): RolloutWatch {
  const { harmLimit = 0, falseAlarm = 0.05, loadBands } = options;
  const share = falseAlarm / (WATCHED_MEASURES.length * (loadBands + 1));
  const byBand = numberRows(rows, loadBands);
  const looking = { harmLimit, falseAlarm: share, confidence: DOUBT_CONFIDENCE, mixingSd: MIXING_SDS };
  const parts = WATCHED_MEASURES.flatMap((measure) => [
    partLook({ measure, loadBand: null }, byBand.flat(), looking),
    ...Array.from({ length: loadBands }, (_, loadBand) => partLook({ measure, loadBand }, byBand[loadBand], looking)),
  ]);
  return { verdict: verdictOf(parts), parts };
}

interface NumberedRow extends Pick<WatchedRow, 'revision' | 'outcomes'> {
  readonly stratum: number;
  readonly drive: number;
}

/**
 * Rows by load band, and behind those the ones without a load, with strata and drives as numbers: each measure and
 * band then counts the same rows without making their names anew.
 */
function numberRows(rows: readonly WatchedRow[], loadBands: number): NumberedRow[][] {
  const strata = new Map<string, number>();
  const drives = new Map<string, number>();
  const byBand: NumberedRow[][] = Array.from({ length: loadBands + 1 }, () => []);
  for (const { vehicle, drive, stratum, loadBand, revision, outcomes } of rows) {
    const isLogged = loadBand !== UNKNOWN_BAND;
    // A shift whose load was not logged is like no other.
    const place = isLogged ? `${vehicle}|${stratum}` : `${vehicle}|${revision}|${stratum}`;
    byBand[isLogged ? loadBand : loadBands].push({
      stratum: numberOf(strata, place),
      drive: numberOf(drives, drive),
      revision,
      outcomes,
    });
  }
  return byBand;
}

function numberOf(numbers: Map<string, number>, name: string): number {
  const known = numbers.get(name);
  if (known !== undefined) return known;
  numbers.set(name, numbers.size);
  return numbers.size - 1;
}

function partLook(
  part: Pick<PartLook, 'measure' | 'loadBand'>,
  rows: readonly NumberedRow[],
  options: MonitorOptions & { readonly harmLimit: number },
): PartLook {
  const counted: OutcomeRow[] = [];
  for (const { stratum, drive: vehicle, revision, outcomes } of rows) {
    const { shifts, events } = outcomes[part.measure];
    if (shifts > 0) counted.push({ stratum, vehicle, revision, shifts, events });
  }
  const look = lookAtRollout(tabulateOutcomes(counted), options);
  const { comparison } = look;
  const isDoubtful = comparison.kind === 'estimate' && comparison.adjusted.low > options.harmLimit;
  return { ...part, look, isDoubtful };
}

function verdictOf(parts: readonly PartLook[]): WatchVerdict {
  if (parts.some(({ look }) => look.kind === 'harm')) return 'harm';
  if (parts.some(({ isDoubtful }) => isDoubtful)) return 'doubtful';
  const whole = parts.filter(({ loadBand }) => loadBand === null);
  if (whole.every(({ look }) => look.kind === 'safe')) return 'safe';
  return parts.every(({ look }) => look.kind === 'insufficient') ? 'insufficient' : 'open';
}
