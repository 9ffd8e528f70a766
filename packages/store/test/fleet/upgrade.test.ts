import { cpSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import { migrate } from '../../src/database/migrate.js';
import type { Store } from '../../src/index.js';
import { aClub, aLog, aNewShift, analyse, aProfile, aShift, PLATFORM, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS, temporaryFolder } from '../support/test-store.js';

const MIGRATIONS = join(import.meta.dirname, '../../../../migrations');
/** The last migration of a database whose summaries were rows of single counts. */
const BEFORE_PACKED = 14;

/** The migrations of the repository up to that one. */
function earlierMigrations(): string {
  const folder = temporaryFolder();
  cpSync(MIGRATIONS, folder, { recursive: true });
  const path = join(folder, 'meta', '_journal.json');
  const journal = JSON.parse(readFileSync(path, 'utf8')) as { entries: { idx: number }[] };
  writeFileSync(path, JSON.stringify({ ...journal, entries: journal.entries.slice(0, BEFORE_PACKED + 1) }));
  for (const name of readdirSync(folder)) if (Number(name.slice(0, 4)) > BEFORE_PACKED) rmSync(join(folder, name));
  return folder;
}

/** Brings the rows of a database of today into one of an earlier schema, as far as that has place for them. */
function copyInto(earlier: Database.Database, todayPath: string): void {
  earlier.pragma('foreign_keys = OFF');
  earlier.prepare('ATTACH ? AS today').run(todayPath);
  const tablesOf = (schema: string) =>
    earlier.prepare(`SELECT name FROM ${schema}.sqlite_schema WHERE type = 'table'`).pluck().all() as string[];
  const columnsOf = (schema: string, table: string) =>
    (earlier.pragma(`${schema}.table_info("${table}")`) as { name: string }[]).map(({ name }) => name);
  const today = new Set(tablesOf('today'));
  for (const table of tablesOf('main').filter((name) => name !== 'applied_migrations' && today.has(name))) {
    const known = new Set(columnsOf('today', table));
    const columns = columnsOf('main', table)
      .filter((name) => known.has(name))
      .join(', ');
    earlier.exec(`INSERT INTO main."${table}" (${columns}) SELECT ${columns} FROM today."${table}"`);
  }
  earlier.exec('DETACH today');
}

it('a database whose summaries were single counts has them packed at the first start, from its shifts', () => {
  const { store, folder } = openTestStore();
  const { maintainer, revisionId } = aClub(store);
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  const logs = [revisionId, undefined].map((revision, seed) => aLog(store, { vehicleId, seed, revisionId: revision }));
  for (const _ of logs) {
    const claimed = store.jobs.claim({ leaseOwner: 'first', leaseMs: 1000 });
    if (claimed) store.jobs.complete(claimed.lease);
  }
  for (const logId of logs) {
    analyse(store, logId, [
      aNewShift({ grades: ['flare'] }),
      aNewShift({ shift: aShift({ kind: '2-1' }), program: null, bands: { load: -1, speed: 2, temperature: 0 } }),
    ]);
  }
  const filter = { platformId: PLATFORM.id };
  // Kinds are numbered as they come, so that rows may come in another order.
  const strataOf = ({ read }: Store) =>
    [...read.fleet.strataByVehicle(filter)].sort((a, b) => (a.kind < b.kind ? -1 : 1));
  const expected = { strata: strataOf(store), overview: store.read.fleet.overview(filter) };
  store.close();

  const olderFolder = temporaryFolder();
  const earlier = new Database(join(olderFolder, 'syncline.db'));
  migrate(earlier, { folder: earlierMigrations(), now: START_MS });
  copyInto(earlier, join(folder, 'syncline.db'));
  // What it counted is not taken over: only the shifts are.
  earlier.exec(`INSERT INTO outcome_counts (platform_id, revision_id, kind, load_band, fluid_temperature_band, program,
    speed_band, vehicle_id, shifts, flare, tie_up, harsh, slow, incomplete, clean)
    VALUES ('${PLATFORM.id}', '', '1-2', 1, 1, '', 1, '${vehicleId}', 70, 7, 0, 0, 0, 0, 0)`);
  earlier.close();

  const upgraded = openTestStore({ folder: olderFolder }).store;
  expect(upgraded.fleet.verifySummaries()).toEqual([]);
  expect(upgraded.read.fleet.overview(filter)).toEqual(expected.overview);
  expect(strataOf(upgraded)).toEqual(expected.strata);
  expect(expected.strata).toHaveLength(2);
  analyse(upgraded, logs[0], [aNewShift()]);
  expect(upgraded.fleet.verifySummaries()).toEqual([]);
});
