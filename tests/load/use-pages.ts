import { setTimeout as sleep } from 'node:timers/promises';
import type { Random } from '@syncline/drivetrain';
import { uploadFile } from '../support/tern-club.ts';
import type { LoadTester } from './load-club.ts';
import type { Answer } from './load-figures.ts';
import type { LoadSetting } from './load-setting.ts';
import { routeOf, TESTER_PAGES } from './pages.ts';

export interface Use {
  readonly tester: LoadTester;
  readonly random: Random;
  readonly setting: LoadSetting;
  /** When the load ends (ms, of `performance.now`). */
  readonly untilMs: number;
  readonly take: (answer: Answer) => void;
}

/** One member opens one page after the other, with a pause between, and uploads a drive now and then. */
export async function usePages(use: Use): Promise<void> {
  const { tester, random, setting, untilMs } = use;
  const files = tester.files.values();
  const pause = (meanMs: number) => -Math.log(1 - random.uniform()) * meanMs;
  const uploadEveryMs = setting.uploadEveryMinutes * 60_000;
  // Nobody begins at the same moment as the others.
  let uploadAtMs = performance.now() + random.between(0, uploadEveryMs);
  await sleep(random.between(0, setting.thinkS * 1000));
  while (performance.now() < untilMs) {
    if (performance.now() >= uploadAtMs) {
      uploadAtMs += pause(uploadEveryMs);
      const bytes = files.next().value;
      if (bytes) await answered(use, 'POST /logs', () => upload(tester, bytes));
    } else {
      await openPage(use);
    }
    await sleep(Math.min(pause(setting.thinkS * 1000), Math.max(0, untilMs - performance.now())));
  }
}

/** All that a page asks for at once, as a browser does. */
async function openPage(use: Use): Promise<void> {
  const { tester } = use;
  const { paths } = pickPage(use.random);
  const asked = paths({ vehicleId: tester.vehicleId, logId: tester.logId });
  await Promise.all(asked.map((path) => answered(use, `GET ${routeOf(path)}`, () => tester.api.bytes(path))));
}

function pickPage(random: Random) {
  const total = TESTER_PAGES.reduce((sum, { weight }) => sum + weight, 0);
  let left = random.between(0, total);
  return TESTER_PAGES.find(({ weight }) => (left -= weight) < 0) ?? TESTER_PAGES[0]!;
}

function upload({ api, vehicleId }: LoadTester, bytes: Uint8Array<ArrayBuffer>): Promise<unknown> {
  return uploadFile(api, vehicleId, bytes, `drive-${bytes.length}.csv`);
}

async function answered({ take }: Use, route: string, ask: () => Promise<unknown>): Promise<void> {
  const beganMs = performance.now();
  let error: string | null = null;
  try {
    await ask();
  } catch (cause) {
    error = cause instanceof Error ? cause.message : String(cause);
  }
  const kind = route.startsWith('GET') ? 'read' : 'upload';
  take({ route, kind, tookMs: performance.now() - beganMs, error });
}
