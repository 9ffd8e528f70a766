import { type SQL, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { GRADE_BITS } from '../shifts/bit-set.js';
import type { OutcomeCounts, SummaryDifference } from './fleet.js';

const KEY_COLUMNS = [
  'platform_id',
  'revision_id',
  'kind',
  'load_band',
  'fluid_temperature_band',
  'program',
  'speed_band',
  'vehicle_id',
];
const KEY = sql.raw(KEY_COLUMNS.join(', '));
const SAME_KEY = sql.raw(KEY_COLUMNS.map((column) => `kept.${column} = counted.${column}`).join(' AND '));
const COUNT_COLUMNS = [
  'shifts',
  'flare',
  'tie_up',
  'harsh',
  'slow',
  'incomplete',
  'clean',
  'flare_measured',
  'tie_up_measured',
  'harsh_measured',
  'slow_measured',
] as const;
const COUNTS = sql.raw(COUNT_COLUMNS.join(', '));

const graded = (grade: keyof typeof GRADE_BITS) => `sum(shifts.grades & ${GRADE_BITS[grade]} != 0)`;

/** The counts of `OutcomeCounts` over rows of shifts. */
export const COUNTED_SHIFTS = sql.raw(`
  count(*) AS shifts, ${graded('flare')} AS flare, ${graded('tie-up')} AS tie_up, ${graded('harsh')} AS harsh,
  ${graded('slow')} AS slow, ${graded('incomplete')} AS incomplete, ${graded('clean')} AS clean,
  sum(shifts.inertia_start_s IS NOT NULL OR shifts.grades & ${GRADE_BITS.flare} != 0) AS flare_measured,
  count(shifts.tie_up_depth) AS tie_up_measured, count(shifts.peak_jerk) AS harsh_measured,
  count(shifts.inertia_time_s) AS slow_measured`);

/** Shifts counted by the key of the summary; absent revision and program become ''. */
function countShifts(where: SQL): SQL {
  return sql`
    SELECT
      shifts.platform_id, coalesce(shifts.revision_id, '') AS revision_id, shifts.kind, shifts.load_band,
      shifts.fluid_temperature_band, coalesce(shifts.program, '') AS program, shifts.speed_band, shifts.vehicle_id,
      ${COUNTED_SHIFTS}
    FROM shifts WHERE ${where} GROUP BY 1, 2, 3, 4, 5, 6, 7, 8`;
}

/** Takes the shifts of a log out of the summaries. Before they change, in the same transaction. */
export function subtractLog(db: Db, logId: string): void {
  db.run(sql`
    UPDATE outcome_counts AS kept SET ${eachColumn((column) => `${column} = kept.${column} - counted.${column}`)}
    FROM (${countShifts(sql`shifts.log_id = ${logId}`)}) AS counted
    WHERE ${SAME_KEY}`);
  db.run(sql`
    DELETE FROM outcome_counts
    WHERE shifts = 0 AND vehicle_id = (SELECT logs.vehicle_id FROM logs WHERE logs.id = ${logId})`);
}

/** Adds the shifts of a log to the summaries. After they changed, in the same transaction. */
export function addLog(db: Db, logId: string): void {
  db.run(sql`
    INSERT INTO outcome_counts (${KEY}, ${COUNTS}) ${countShifts(sql`shifts.log_id = ${logId}`)}
    ON CONFLICT DO UPDATE SET ${eachColumn((column) => `${column} = ${column} + excluded.${column}`)}`);
}

function eachColumn(text: (column: string) => string): SQL {
  return sql.raw(COUNT_COLUMNS.map(text).join(', '));
}

/** Empties the summaries, all or those of a platform, and counts every shift anew. */
export function rebuildSummaries(db: Db, platformId?: string): void {
  const ofPlatform = (column: string) =>
    platformId === undefined ? sql`true` : sql`${sql.raw(column)} = ${platformId}`;
  db.run(sql`DELETE FROM outcome_counts WHERE ${ofPlatform('platform_id')}`);
  db.run(sql`INSERT INTO outcome_counts (${KEY}, ${COUNTS}) ${countShifts(ofPlatform('shifts.platform_id'))}`);
}

/** Counts every shift and lists the summary rows that say something else. */
export function findSummaryDifferences(db: Db): SummaryDifference[] {
  const rows = db.all<DifferenceRow>(sql`
    SELECT
      concat_ws(' | ', platform_id, revision_id, vehicle_id, kind, 'load ' || load_band, 'speed ' || speed_band,
        'temperature ' || fluid_temperature_band, program) AS key,
      ${bySide(0)}, ${bySide(1)}
    FROM (
      SELECT 0 AS side, ${KEY}, ${COUNTS} FROM outcome_counts
      UNION ALL SELECT 1 AS side, * FROM (${countShifts(sql`true`)}))
    GROUP BY ${KEY}
    HAVING count(*) < 2 OR ${sql.join(COUNT_COLUMNS.map(differs), sql.raw(' OR '))}
    ORDER BY key`);
  return rows.map((row) => ({ key: row.key, kept: countsOf(row, 0), counted: countsOf(row, 1) }));
}

/** Sums by side of the union: 0 as kept, 1 as counted; null where the side has no row. */
type DifferenceRow = Readonly<Record<`${string}_${0 | 1}`, number | null>> & { readonly key: string };

function bySide(side: 0 | 1): SQL {
  return sql.raw(
    COUNT_COLUMNS.map((column) => `sum(${column}) FILTER (WHERE side = ${side}) AS ${column}_${side}`).join(', '),
  );
}

function differs(column: string): SQL {
  return sql.raw(`min(${column}) <> max(${column})`);
}

function countsOf(row: DifferenceRow, side: 0 | 1): OutcomeCounts | null {
  if (row[`shifts_${side}`] === null) return null;
  const sums = Object.fromEntries(COUNT_COLUMNS.map((column) => [column, row[`${column}_${side}`] ?? 0]));
  return toCounts(sums as CountRow);
}

/** Counts as they come out of SQL. */
export type CountRow = Readonly<Record<(typeof COUNT_COLUMNS)[number], number>>;

export function toCounts(row: CountRow): OutcomeCounts {
  return {
    shifts: row.shifts,
    flare: row.flare,
    tieUp: row.tie_up,
    harsh: row.harsh,
    slow: row.slow,
    incomplete: row.incomplete,
    clean: row.clean,
    flareMeasured: row.flare_measured,
    tieUpMeasured: row.tie_up_measured,
    harshMeasured: row.harsh_measured,
    slowMeasured: row.slow_measured,
  };
}
