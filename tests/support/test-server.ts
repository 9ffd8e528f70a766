import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type AppOptions, type BuiltApp, buildApp, createIds, loadSettings } from '@syncline/server';
import { openStore, type Store } from '@syncline/store';

/** A server of a test file's own, in its process, on a folder that goes with it. */
export interface TestServer {
  readonly baseUrl: string;
  /** Holds `data`; there is room beside it for files of the test. */
  readonly folder: string;
  readonly store: Store;
  readonly jobs: BuiltApp['jobs'];
  close(): Promise<void>;
}

/** Many sign-ins in a row are no attack here. */
const GUESS_LIMITS = { perAccount: 1000, perAddress: 1000, windowMs: 60_000 };

/** Starts it on an empty store; `options` are those of the application that the test wants otherwise. */
export async function startTestServer({
  clock = Date.now,
  ...options
}: Partial<Omit<AppOptions, 'settings' | 'store'>> = {}): Promise<TestServer> {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-test-'));
  const dataFolder = join(folder, 'data');
  const settings = loadSettings({
    SYNCLINE_DATA: dataFolder,
    SYNCLINE_LOG_LEVEL: 'silent',
    SYNCLINE_PORT: '0',
    SYNCLINE_MIN_FREE_BYTES: '0',
  });
  const store = openStore({ folder: dataFolder, clock, ids: createIds(clock), minFreeBytes: 0 });
  const { app, jobs } = await buildApp({ guessLimits: GUESS_LIMITS, ...options, settings, store, clock });
  const baseUrl = await app.listen({ host: '127.0.0.1', port: 0 });
  return {
    baseUrl,
    folder,
    store,
    jobs,
    close: async () => {
      await app.close();
      store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
