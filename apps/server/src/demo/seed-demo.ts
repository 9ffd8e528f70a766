import { setTimeout as sleep } from 'node:timers/promises';
import type { OverviewResponse } from '@syncline/contract';
import { type PlannedDrive, TERN_PLATFORM, ternDrives, ternFleet } from '@syncline/drivetrain';
import { askForDrives, recruit } from './ask-and-recruit.js';
import { confirmDialects } from './confirm-dialects.js';
import { createDriveGenerator } from './drive-generator.js';
import { type EnteredCar, enterCar, installRevisions } from './enter-cars.js';
import { type DemoAccount, enterPlatform, joinClub, type Member, makeRevisions, setUpClub } from './found-club.js';
import { growHistory } from './grow-history.js';
import type { ShowProgress } from './progress-bar.js';
import { proposeNext } from './propose-next.js';
import { releaseThird } from './release-third.js';
import { uploadDrives } from './upload-drives.js';

const DAY_MS = 24 * 3600_000;
const SEED = 'shore';
const LOOK_EVERY_MS = 250;

export interface DemoOptions {
  /** Address of a server on a new data folder. */
  readonly baseUrl: string;
  /** The story ends on the day before (UTC in milliseconds). */
  readonly nowMs: number;
  readonly showProgress: ShowProgress;
  /** Default 24. */
  readonly carCount?: number;
  /** Default 150. */
  readonly driveCount?: number;
}

export interface SeededDemo {
  readonly maintainer: DemoAccount;
  readonly reviewer: DemoAccount;
  readonly tester: DemoAccount;
}

/**
 * Fills a server with an invented club, through the API as its people would: they sign up, enter their cars, and upload
 * what the simulator drove for them. Resolves when every log is analysed.
 */
export async function seedDemo(options: DemoOptions): Promise<SeededDemo> {
  const { baseUrl, nowMs, showProgress, carCount = 24, driveCount = 150 } = options;
  const drives = ternDrives(SEED, carCount, driveCount);
  const storyStartMs = (Math.floor(nowMs / DAY_MS) - lastDayOf(drives) - 1) * DAY_MS;
  const generator = createDriveGenerator();
  try {
    showProgress(0, 'founding the club');
    const maintainer = await setUpClub(baseUrl);
    const reviewer = await joinClub(baseUrl, maintainer, 'Scurvygrass', 'reviewer');
    await enterPlatform(maintainer);
    const revisionIds = await makeRevisions(maintainer);
    await growHistory({ maintainer, reviewer, revisionIds });
    const cars: EnteredCar[] = await Promise.all(
      ternFleet(SEED, carCount).map((car) => enterCar(baseUrl, maintainer, car)),
    );
    const captureCount = await confirmDialects({ maintainer, cars, generator, storyStartMs });
    await Promise.all(
      cars.map((car, index) => {
        const own = drives.filter((drive) => drive.carIndex === index);
        return installRevisions(car, { drives: own, revisionIds, storyStartMs });
      }),
    );
    const uploading = uploadDrives({ generator, cars, drives, storyStartMs });
    await Promise.all([uploading, watchAnalysis(maintainer, drives.length + captureCount, showProgress)]);
    showProgress(1, 'proposing the next revision');
    await proposeNext(maintainer);
    await askForDrives(maintainer);
    await recruit(baseUrl, maintainer);
    await releaseThird({ maintainer, reviewer, revisionIds, cars, drives });
    return { maintainer: maintainer.account, reviewer: reviewer.account, tester: cars[0].owner.account };
  } finally {
    await generator.close();
  }
}

function lastDayOf(drives: readonly PlannedDrive[]): number {
  return Math.max(...drives.map((drive) => drive.day));
}

/** Shows how many logs have arrived and were analysed, until all are. */
async function watchAnalysis({ client }: Member, logCount: number, showProgress: ShowProgress): Promise<void> {
  for (;;) {
    const { logs, waitingLogs } = await client.get<OverviewResponse>(`/fleet/overview?platform=${TERN_PLATFORM.id}`);
    const analysed = logs - waitingLogs;
    showProgress((logs + analysed) / (2 * logCount), `${logs} of ${logCount} logs uploaded, ${analysed} analysed`);
    if (analysed === logCount) return;
    await sleep(LOOK_EVERY_MS);
  }
}
