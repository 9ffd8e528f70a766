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
  readonly webFolder?: string;
}

/** A whole server on a new data folder, with a clock that stands still, rising ids and cheap passwords. */
export async function startServer(options: TestServerOptions = {}): Promise<TestServer> {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-server-'));
  const time = { nowMs: Date.parse('2026-03-01T09:00:00Z') };
  let count = 0;
  const clock = () => time.nowMs;
  const store = openStore({
    folder: join(folder, 'data'),
    clock,
    ids: () => `id-${String(++count).padStart(6, '0')}`,
    minFreeBytes: options.settings?.minFreeBytes ?? 0,
  });
  const settings: Settings = {
    ...loadSettings({ SYNCLINE_LOG_LEVEL: 'fatal', SYNCLINE_PUBLIC_URL: PUBLIC_URL, SYNCLINE_WORKERS: '1' }, {}),
    dataFolder: join(folder, 'data'),
    ...options.settings,
  };
  const built = await buildApp({
    settings,
    store,
    clock,
    hashingCost: { memoryKib: 8, passes: 1 },
    guessLimits: options.guessLimits ?? { perAccount: 1000, perAddress: 1000, windowMs: 60_000 },
    webFolder: options.webFolder ?? join(folder, 'no-web'),
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
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
