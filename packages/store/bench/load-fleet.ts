import { join } from 'node:path';
import { getTableColumns, type InferInsertModel } from 'drizzle-orm';
import { connectForWriting } from '../src/database/connect.js';
import { type Db, queryBuilder } from '../src/database/context.js';
import { insertRows } from '../src/database/insert-rows.js';
import { type CountedRow, ShiftCounter } from '../src/fleet/count-shifts.js';
import { writeSummary } from '../src/fleet/summaries.js';
import { NameNumbers } from '../src/fleet/summary-names.js';
import { shifts } from '../src/schema/shifts.js';
import { type GeneratedShift, habitOf } from './drive-fleet.js';
import { seededRandom } from './seeded-random.js';

const VEHICLES = 500;
const SHIFTS_PER_LOG = 250;

/**
 * Fills a data folder that holds a club with a platform, a car and revisions: 500 cars that drove so many shifts in
 * all, a third under each of the first two revisions and under none. The same numbers give the same database.
 * @param hasRows whether every shift is written and counted, or the summaries alone: ten million rows would take ten
 *   gigabytes and a quarter of an hour
 */
function load(folder: string, shiftCount: number, hasRows: boolean): void {
  const sqlite = connectForWriting(join(folder, 'syncline.db'));
  const db = queryBuilder(sqlite);
  const began = performance.now();
  sqlite.pragma('foreign_keys = OFF');
  sqlite.pragma('synchronous = OFF');
  const vehicleIds = addVehicles(db);
  const perVehicle = Math.round(shiftCount / VEHICLES);
  sqlite.transaction(() =>
    hasRows ? writeRows(db, vehicleIds, perVehicle) : writeSummaries(db, vehicleIds, perVehicle),
  )();
  sqlite.pragma('wal_checkpoint(TRUNCATE)');
  sqlite.exec('ANALYZE');
  sqlite.close();
  const what = hasRows ? 'shifts in rows' : 'shifts, as summaries only';
  console.log(`${perVehicle * VEHICLES} ${what} written in ${((performance.now() - began) / 1000).toFixed(0)} s`);
}

function textOf(db: Db, query: string): string[] {
  return db.$client.prepare<[], string>(query).pluck().all();
}

function addVehicles(db: Db): string[] {
  const columns = textOf(db, `SELECT name FROM pragma_table_info('vehicles') WHERE name NOT IN ('id', 'title')`).join(
    ', ',
  );
  const insert = db.$client.prepare(
    `INSERT INTO vehicles (id, title, ${columns}) SELECT ?, ?, ${columns} FROM vehicles ORDER BY id LIMIT 1`,
  );
  return Array.from({ length: VEHICLES }, (_, i) => {
    const id = `fleet-car-${String(i).padStart(3, '0')}`;
    insert.run(id, `Fleet car ${i}`);
    return id;
  });
}

/** Which revision a car's n-th drive was under. */
function revisionsOf(db: Db): (string | null)[] {
  return [...textOf(db, 'SELECT id FROM revisions ORDER BY id LIMIT 2'), null];
}

function platformOf(db: Db): string {
  return textOf(db, 'SELECT id FROM platforms ORDER BY id LIMIT 1')[0];
}

function writeRows(db: Db, vehicleIds: readonly string[], perVehicle: number): void {
  const indexes = textOf(
    db,
    `SELECT sql FROM sqlite_schema WHERE type = 'index' AND tbl_name = 'shifts' AND sql IS NOT NULL`,
  );
  for (const name of textOf(
    db,
    `SELECT name FROM sqlite_schema WHERE type = 'index' AND tbl_name = 'shifts' AND sql IS NOT NULL`,
  )) {
    db.$client.exec(`DROP INDEX ${name}`);
  }
  const [platformId, revisions] = [platformOf(db), revisionsOf(db)];
  const insertBlob = db.$client.prepare(
    'INSERT INTO blobs (sha256, size_bytes, stored_bytes, encoding, created_at_ms) VALUES (?, 1, 1, ?, 0)',
  );
  const insertLog = db.$client.prepare(
    `INSERT INTO logs (id, vehicle_id, revision_id, sha256, file_name, uploaded_at_ms, driven_at_ms, state, progress, duration_s)
    VALUES (?, ?, ?, ?, 'drive.csv', ?, ?, 'ready', 1, 1800)`,
  );
  const logCount = Math.max(1, Math.round(perVehicle / SHIFTS_PER_LOG));
  for (const [v, vehicleId] of vehicleIds.entries()) {
    const next = habitOf(seededRandom(1000 + v));
    for (let drive = 0; drive < logCount; drive++) {
      const logId = `fleet-log-${String(v).padStart(3, '0')}-${String(drive).padStart(4, '0')}`;
      const drivenAtMs = Date.UTC(2025, 0, 1) + (drive * VEHICLES + v) * 60_000;
      const revisionId = revisions[drive % revisions.length];
      const sha256 = (v * 10_000 + drive + 1).toString(16).padStart(64, 'f');
      insertBlob.run(sha256, 'gzip');
      insertLog.run(logId, vehicleId, revisionId, sha256, drivenAtMs, drivenAtMs);
      const count = Math.round(perVehicle / logCount);
      const rows = Array.from({ length: count }, (_, i) =>
        toRow(next(), {
          id: `${logId}-${String(i + 1).padStart(5, '0')}`,
          logId,
          vehicleId,
          platformId,
          revisionId,
          drivenAtMs,
        }),
      );
      insertRows(db, shifts, rows);
    }
  }
  for (const index of indexes) db.$client.exec(index);
  db.$client.exec('UPDATE summary_state SET is_stale = 1');
}

function writeSummaries(db: Db, vehicleIds: readonly string[], perVehicle: number): void {
  const [platformId, revisions] = [platformOf(db), revisionsOf(db)];
  const numbers = new NameNumbers(db, platformId);
  for (const [v, vehicleId] of vehicleIds.entries()) {
    const next = habitOf(seededRandom(1000 + v));
    for (const revisionId of revisions) {
      const counter = new ShiftCounter(numbers);
      const place = { platformId, revisionId: revisionId ?? '', vehicleId };
      for (let i = 0; i < Math.round(perVehicle / revisions.length); i++) counter.add(toCounted(next(), place));
      writeSummary(db, place, { version: 1, summary: counter.counted() });
    }
  }
  numbers.keep();
  db.$client.exec('UPDATE summary_state SET version = 1');
}

type Row = InferInsertModel<typeof shifts>;
type Origin = Pick<Row, 'id' | 'logId' | 'vehicleId' | 'platformId' | 'revisionId' | 'drivenAtMs'>;

function toRow(shift: GeneratedShift, origin: Origin): Row {
  const { from, to, program, load, outputSpeedRpm, fluidTemperatureC, grades, temperatureBand, ...rest } = shift;
  const nothing = Object.fromEntries(Object.keys(getTableColumns(shifts)).map((name) => [name, null]));
  return {
    ...nothing,
    ...origin,
    ...rest,
    analysisVersion: 1,
    policyVersion: 1,
    kind: `${from}-${to}`,
    from,
    to,
    endedIn: to,
    direction: to > from ? 'up' : 'down',
    outcome: 'complete',
    grades,
    disturbances: 0,
    isSkip: false,
    isPowerOn: true,
    isHunting: false,
    startIndex: 0,
    endIndex: 100,
    commandS: 10,
    commandSource: 'gearTarget',
    inertiaStartS: 10.3,
    program,
    load,
    inputSpeedRpm: 2 * outputSpeedRpm,
    outputSpeedRpm,
    fluidTemperatureC,
    flareMs: 2 * shift.flareRpm,
    flareRevolutions: 0,
    fluidTemperatureBand: temperatureBand,
  };
}

function toCounted(
  shift: GeneratedShift,
  { platformId, revisionId, vehicleId }: { platformId: string; revisionId: string; vehicleId: string },
): CountedRow {
  const { from, to, program, loadBand, temperatureBand, speedBand, grades } = shift;
  const { flareRpm, shiftTimeS, inertiaTimeS, delayS, peakJerk, tieUpDepth, slipEnergyJ } = shift;
  const place = [
    platformId,
    revisionId,
    vehicleId,
    `${from}-${to}`,
    program,
    loadBand,
    temperatureBand,
    speedBand,
  ] as const;
  return [...place, grades, 10.3, flareRpm, shiftTimeS, inertiaTimeS, delayS, peakJerk, tieUpDepth, slipEnergyJ];
}

const [folder, shiftCount, what] = process.argv.slice(2);
if (folder === undefined || !(Number(shiftCount) >= VEHICLES) || (what !== 'rows' && what !== 'summaries')) {
  throw new Error('Usage: tsx bench/load-fleet.ts <data folder of a club> <shifts> rows|summaries');
}
load(folder, Number(shiftCount), what === 'rows');
