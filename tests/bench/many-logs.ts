import { readFileSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';
import { type Api } from '../support/api.ts';
import { uploadFile } from '../support/tern-club.ts';
import { BenchClub } from './bench-club.ts';
import { type FigureRow, printRow, spreadOf } from './figures.ts';
import { longDriveFile } from './long-drive.ts';

/** The logs are pieces of a long drive: five minutes each. */
const ROWS_PER_LOG = 30_000;
const SOURCE_MB = 50;
const LF = 10;
const DONE = 'syncline_job_seconds_count{kind="analyseLog",outcome="done"}';
const LONE_UPLOADS = 5;
const LOOK_MS = 10;

/**
 * Many logs of five minutes, uploaded by one tester as fast as the server takes them, and one of another who comes when
 * half of them are sent: how many are analysed in a minute, how uploads are answered meanwhile, and who waits for whom.
 */
export async function benchManyLogs(logCount: number, workers: number): Promise<unknown> {
  const files = piecesOf(await longDriveFile(SOURCE_MB), logCount + 1 + LONE_UPLOADS);
  const megabytes = files.slice(0, logCount).reduce((sum, file) => sum + file.length, 0) / 1e6;
  console.log(
    `\n${logCount} logs of five minutes (${megabytes.toFixed(0)} MB) and ${workers} worker${workers > 1 ? 's' : ''}`,
  );
  const club = new BenchClub({ SYNCLINE_WORKERS: String(workers) });
  try {
    const { tester, vehicleId } = await club.found(files[0]!.subarray(0, 1 << 16));
    const late = await club.addTester(files[0]!.subarray(0, 1 << 16));
    const send = (who: Api, vehicle: string, i: number) => uploadFile(who, vehicle, files[i]!, `drive-${i}.csv`);

    const alone: number[] = [];
    for (let i = 0; i < LONE_UPLOADS; i++) {
      const { id } = await send(tester, vehicleId, logCount + 1 + i);
      alone.push(await timeUntilShifts(tester, id));
    }

    const answerMs: number[] = [];
    const began = performance.now();
    let lateUpload: Promise<{ waitedS: number; othersDone: number }> | undefined;
    for (let i = 0; i < logCount; i++) {
      const asked = performance.now();
      await send(tester, vehicleId, i);
      answerMs.push(performance.now() - asked);
      if (i === logCount >> 1) lateUpload = comeLate(club, () => send(late.api, late.vehicleId, logCount), late.api);
    }
    const sentS = (performance.now() - began) / 1000;
    const queued = await club.metric('syncline_jobs{state="queued"}');
    while ((await club.metric(DONE)) < logCount + 1 + LONE_UPLOADS) await sleep(250);
    const wholeS = (performance.now() - began) / 1000;
    const { waitedS, othersDone } = (await lateUpload)!;
    const rows: FigureRow[] = [
      { what: 'logs analysed', unit: '/min', spread: spreadOf([(60 * (logCount + 1)) / wholeS]) },
      { what: 'that is', unit: 'MB/s', spread: spreadOf([megabytes / wholeS]) },
      { what: 'an upload answered, while the queue grows', unit: 'ms', spread: spreadOf(answerMs) },
      { what: 'from the end of an upload to its shifts, nothing queued', unit: 'ms', spread: spreadOf(alone) },
      {
        what: 'the same of another tester who comes when half are sent',
        unit: 'ms',
        spread: spreadOf([1000 * waitedS]),
      },
    ];
    for (const row of rows) printRow(row);
    console.log(
      `all sent after ${sentS.toFixed(1)} s, ${queued} then queued; ${othersDone} logs of the first tester were done while the other waited`,
    );
    if (othersDone > 2 * workers + 1) throw new Error('the tester with one log had to wait for the one with many');
    return { workers, logCount, megabytes, rows, queued, othersDone };
  } finally {
    await club.end();
  }
}

/** Uploads the log of a tester who comes late; tells how long it took to its shifts, and what was done before. */
async function comeLate(club: BenchClub, send: () => Promise<{ id: string }>, who: Api) {
  const { id } = await send();
  const doneBefore = await club.metric(DONE);
  const waitedMs = await timeUntilShifts(who, id);
  return { waitedS: waitedMs / 1000, othersDone: (await club.metric(DONE)) - doneBefore - 1 };
}

/** Time until the API has the shifts of a log that was uploaded now (ms). */
async function timeUntilShifts(who: Api, logId: string): Promise<number> {
  const began = performance.now();
  for (;;) {
    const { totalCount } = await who.get<{ totalCount: number }>(`/shifts?log=${logId}&limit=1`);
    if (totalCount > 0) return performance.now() - began;
    await sleep(LOOK_MS);
  }
}

/** Logs of a long one, each with its header; from the second hour on the same roads at other times. */
export function piecesOf(path: string, count: number): Uint8Array<ArrayBuffer>[] {
  const bytes = readFileSync(path);
  const header = bytes.subarray(0, bytes.indexOf(LF) + 1);
  const pieces: Uint8Array<ArrayBuffer>[] = [];
  let start = header.length;
  while (pieces.length < count) {
    let end = start;
    for (let row = 0; row < ROWS_PER_LOG && end < bytes.length; row++) end = bytes.indexOf(LF, end) + 1;
    if (end >= bytes.length) throw new Error(`${path} holds fewer than ${count} logs`);
    pieces.push(Uint8Array.from(Buffer.concat([header, bytes.subarray(start, end)])));
    start = end;
  }
  return pieces;
}
