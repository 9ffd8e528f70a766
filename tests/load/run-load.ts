import { randomBytes } from 'node:crypto';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { makeRandom } from '@syncline/drivetrain';
import { machine } from '../bench/figures.ts';
import { startServerProcess } from '../support/server-process.ts';
import { foundLoadClub } from './load-club.ts';
import type { Answer } from './load-figures.ts';
import type { LoadResult } from './load-report.ts';
import type { LoadSetting } from './load-setting.ts';
import { usePages } from './use-pages.ts';
import { watchServer } from './watch-server.ts';

/** What the clients' own delay is told by: the time from one turn of a timer to the next. */
const OWN_TIMER_MS = 5;

/** Loads a server of its own, on a folder that is gone afterwards. */
export async function runLoad(setting: LoadSetting, tell: (text: string) => void): Promise<LoadResult> {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-load-'));
  const token = randomBytes(32).toString('hex');
  const { profileFolder } = setting;
  if (profileFolder !== null) mkdirSync(profileFolder, { recursive: true });
  const nodeOptions = profileFolder === null ? [] : ['--cpu-prof', `--cpu-prof-dir=${profileFolder}`];
  const settings = {
    SYNCLINE_METRICS_TOKEN: token,
    SYNCLINE_BACKUP_HOURS: '0',
    SYNCLINE_TRUSTED_PROXIES: '127.0.0.1',
  };
  const server = await startServerProcess(folder, settings, nodeOptions);
  try {
    const testers = await foundLoadClub(server.baseUrl, setting, tell);
    tell(`${setting.testers} testers for ${setting.minutes} min`);
    const answers: Answer[] = [];
    const own = monitorEventLoopDelay({ resolution: OWN_TIMER_MS });
    own.enable();
    const stopWatching = watchServer(server.baseUrl, token);
    const beganMs = performance.now();
    const untilMs = beganMs + setting.minutes * 60_000;
    await Promise.all(
      testers.map((tester, index) =>
        usePages({
          tester,
          random: makeRandom(`load:${index}`),
          setting,
          untilMs,
          take: (answer) => answers.push(answer),
        }),
      ),
    );
    const elapsedS = (performance.now() - beganMs) / 1000;
    const samples = await stopWatching();
    own.disable();
    return { setting, machine: machine(), answers, samples, ownStallMs: own.max / 1e6 - OWN_TIMER_MS, elapsedS };
  } finally {
    await server.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}
