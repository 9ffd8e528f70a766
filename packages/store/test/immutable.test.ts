import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, it, onTestFinished } from 'vitest';
import { connectForWriting } from '../src/database/connect.js';
import { aClub, analysisJob, PLATFORM, SYSTEM } from './support/builders.js';
import { openTestStore } from './support/test-store.js';

/** The database of a club, opened as the store opens it, past the store. */
function rawDatabase(): Database.Database {
  const { store, folder } = openTestStore();
  aClub(store);
  const north = { actor: SYSTEM, platformId: PLATFORM.id };
  store.dialects.addSignalList({ ...north, dialectId: 'north', signals: [], jobFor: analysisJob });
  const profile = { dialect: 'north', captureCount: 0, identifiers: [] };
  store.dialects.addProfile({
    ...north,
    profile,
    captureIds: [],
    jobFor: () => ({ kind: 'recheck', inputKey: 'north' }),
  });
  store.close();
  const sqlite = connectForWriting(join(folder, 'syncline.db'));
  onTestFinished(() => void sqlite.close());
  return sqlite;
}

it.each(['audit', 'contents', 'revisions', 'layouts', 'policies', 'bus_signal_lists', 'dialect_profiles'])(
  'rows of %s can be neither changed nor removed',
  (table) => {
    const sqlite = rawDatabase();
    const rows = sqlite.prepare<[], Record<string, unknown>>(`SELECT * FROM ${table}`).all();
    expect(rows.length).toBeGreaterThan(0);
    const [column] = Object.keys(rows[0]);
    expect(() => sqlite.exec(`UPDATE ${table} SET ${column} = ${column}`)).toThrow(/is never changed/);
    expect(() => sqlite.exec(`DELETE FROM ${table}`)).toThrow(/is never removed/);
    expect(() => sqlite.exec(`INSERT OR REPLACE INTO ${table} SELECT * FROM ${table}`)).toThrow(/is never removed/);
    expect(sqlite.prepare(`SELECT * FROM ${table}`).all()).toEqual(rows);
  },
);
