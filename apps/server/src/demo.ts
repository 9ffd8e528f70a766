import { mkdtempSync, rmSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { openStore } from '@syncline/store';
import { type BuiltApp, buildApp } from './build-app.js';
import { createProgressBar } from './demo/progress-bar.js';
import { type SeededDemo, seedDemo } from './demo/seed-demo.js';
import { createIds } from './ids.js';
import { loadSettings, type Settings } from './settings.js';

/** Ports that are tried, one after the other, from the usual one on. */
const PORT_TRIES = 20;

async function listenOnFreePort({ app }: BuiltApp, { host, port }: Settings): Promise<string> {
  for (let tried = 0; ; tried++) {
    try {
      return await app.listen({ host, port: port === 0 ? 0 : port + tried });
    } catch (error) {
      const isTaken = error instanceof Error && 'code' in error && error.code === 'EADDRINUSE';
      if (!isTaken || tried === PORT_TRIES) throw error;
    }
  }
}

function describe(address: string, { maintainer, reviewer, tester }: SeededDemo, seconds: number): string {
  return `
The demo is ready after ${seconds.toFixed(0)} s at

    ${address}

Sign in as the maintainer    ${maintainer.email}    password: ${maintainer.password}
or as a reviewer             ${reviewer.email}    password: ${reviewer.password}
or as a tester               ${tester.email}    password: ${tester.password}

Club, cars and drives are invented; the gearbox does not exist. What is shown here must not go into a car. Read drives
after the drive, never while driving; local law, your road authority and a qualified workshop come first.

Ctrl+C ends the demo and removes its data.
`;
}

async function demo(): Promise<void> {
  const startedAt = performance.now();
  const folder = mkdtempSync(join(tmpdir(), 'syncline-demo-'));
  const settings = loadSettings({
    SYNCLINE_DATA: folder,
    SYNCLINE_LOG_LEVEL: 'warn',
    // Nobody waits for a page while the club is made up: all cores may work.
    SYNCLINE_WORKERS: String(availableParallelism()),
  });
  const clock = Date.now;
  const store = openStore({ folder, clock, ids: createIds(clock), minFreeBytes: settings.minFreeBytes });
  const built = await buildApp({ settings, store, clock });
  const stop = async () => {
    await built.app.close();
    store.close();
    rmSync(folder, { recursive: true, force: true });
    // Drives may still be under way.
    process.exit();
  };
  process.once('SIGINT', () => void stop());
  process.once('SIGTERM', () => void stop());

  const address = await listenOnFreePort(built, settings);
  const showProgress = createProgressBar(process.stdout);
  const seeded = await seedDemo({ baseUrl: address, nowMs: clock(), showProgress });
  process.stdout.write(describe(address, seeded, (performance.now() - startedAt) / 1000));
}

await demo();
