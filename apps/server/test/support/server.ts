import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openStore, type Store } from '@syncline/store';
import { type BuiltApp, buildApp } from '../../src/build-app.js';
import { loadSettings, type Settings } from '../../src/settings.js';

/** Where browsers of the test club think that they are. */
export const PUBLIC_URL = 'http://club.test';

export interface TestServer extends BuiltApp {
  readonly store: Store;
  readonly folder: string;
  /** Now; tests may set it on. */
  readonly time: { nowMs: number };
  close(): Promise<void>;
}

interface TestServerOptions {
  readonly settings?: Partial<Settings>;
  readonly guessLimits?: { perAccount: number; perAddress: number; windowMs: number };
  readonly applicationLimit?: { perAddress: number; windowMs: number };
  readonly webFolder?: string;
  /** Of the results that are made; default the program's. */
  readonly analysisVersion?: number;
  /** Where the log goes; default its usual place. */
  readonly logStream?: { write(line: string): void };
  /** A folder of an earlier server, to go on with; a new one by default. It goes with the one that made it. */
  readonly folder?: string;
}

/** A whole server on a new data folder, with a clock that stands still, rising ids and cheap passwords. */
export async function startServer(options: TestServerOptions = {}): Promise<TestServer> {
  const folder = options.folder ?? mkdtempSync(join(tmpdir(), 'syncline-server-'));
  const time = { nowMs: Date.parse('2026-03-01T09:00:00Z') };
  // Ids rise over all servers of a folder.
  let count = options.folder === undefined ? 0 : 500_000;
  const clock = () => time.nowMs;
  const store = openStore({
    folder: join(folder, 'data'),
    clock,
    ids: () => `id-${String(++count).padStart(6, '0')}`,
    minFreeBytes: options.settings?.minFreeBytes ?? 0,
  });
  const settings: Settings = {
    ...loadSettings(
      {
        SYNCLINE_DATA: join(folder, 'data'),
        SYNCLINE_LOG_LEVEL: 'fatal',
        SYNCLINE_PUBLIC_URL: PUBLIC_URL,
        SYNCLINE_WORKERS: '1',
        SYNCLINE_BACKUP_HOURS: '0',
      },
      {},
    ),
    ...options.settings,
  };
  const built = await buildApp({
    settings,
    store,
    clock,
    hashingCost: { memoryKib: 8, passes: 1 },
    guessLimits: options.guessLimits ?? { perAccount: 1000, perAddress: 1000, windowMs: 60_000 },
    applicationLimit: options.applicationLimit ?? { perAddress: 1000, windowMs: 60_000 },
    webFolder: options.webFolder ?? join(folder, 'no-web'),
    analysisVersion: options.analysisVersion,
    logStream: options.logStream,
  });
  await built.app.ready();
  return {
    ...built,
    store,
    folder,
    time,
    async close() {
      await built.app.close();
      store.close();
      if (options.folder === undefined) rmSync(folder, { recursive: true, force: true });
    },
  };
}
