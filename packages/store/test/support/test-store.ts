import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { openStore, type Store, type StoreOptions } from '../../src/index.js';
import { countingIds } from './counting-ids.js';

/** An instant to begin at; all tests move on from here. */
export const START_MS = Date.UTC(2026, 2, 1, 9);

export interface TestStore {
  readonly store: Store;
  readonly folder: string;
  /** Settable. */
  readonly clock: { nowMs: number };
}

/** A folder that is gone after the test. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-store-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A migrated, empty database, made once for each test file. */
let template: Buffer | undefined;

function migratedDatabase(): Buffer {
  if (template) return template;
  const folder = mkdtempSync(join(tmpdir(), 'syncline-store-'));
  openStore({ folder, clock: () => START_MS, ids: countingIds() }).close();
  template = readFileSync(join(folder, 'syncline.db'));
  rmSync(folder, { recursive: true });
  return template;
}

/** A real store in a new folder, with a clock that stands still and ids that count. Closed after the test. */
export function openTestStore(options: Partial<StoreOptions> = {}): TestStore {
  const folder = options.folder ?? temporaryFolder();
  const isNew = options.folder === undefined && options.migrationsFolder === undefined;
  if (isNew) writeFileSync(join(folder, 'syncline.db'), migratedDatabase());
  const clock = { nowMs: START_MS };
  const store = openStore({ folder, clock: () => clock.nowMs, ids: countingIds(), ...options });
  onTestFinished(() => closeQuietly(store));
  return { store, folder, clock };
}

/** For tests that close it themselves: a second close throws. */
function closeQuietly(store: Store): void {
  try {
    store.close();
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
  }
}
