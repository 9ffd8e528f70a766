import { setTimeout } from 'node:timers/promises';
import autocannon from 'autocannon';
import { type PageOf, TESTER_PAGES } from '../load/pages.ts';
import { watchServer } from '../load/watch-server.ts';
import { uploadFile } from '../support/tern-club.ts';
import { BenchClub, METRICS_TOKEN } from './bench-club.ts';
import { type FigureRow, printRow, spreadOf } from './figures.ts';
import { longDriveFile } from './long-drive.ts';
import { piecesOf } from './many-logs.ts';

const READERS = 50;
/** Each opens a page about every two seconds; pages are four requests in the mean. */
const REQUESTS_PER_S = 100;
const SECONDS = 30;
const FIRST_LOGS = 6;
const SOURCE_MB = 400;
const LOGS_LEFT = 228;
/** As many logs lie ready that the worker never waits. */
const LEAST_QUEUED = 3;
const LIMITS = { readMs: 100, stallMs: 20 };

/**
 * Fifty readers of all pages of a tester at once while drives are analysed without a pause: how long answers take, and
 * whether the server's thread is there for them.
 */
export async function benchReaders(): Promise<unknown> {
  const files = piecesOf(await longDriveFile(SOURCE_MB), FIRST_LOGS + LOGS_LEFT);
  const club = new BenchClub();
  try {
    const { tester, vehicleId } = await club.found(files[0]!.subarray(0, 1 << 16));
    let next = 0;
    const send = () => uploadFile(tester, vehicleId, files[next]!, `drive-${next++}.csv`);
    const first: string[] = [];
    while (next < FIRST_LOGS) first.push((await send()).id);
    for (const logId of first) await club.ready(logId);
    console.log(`\n${READERS} readers, ${REQUESTS_PER_S} requests a second, drives analysed all the while`);

    const paths = pathsOf({ vehicleId, logId: first[0]! });
    // A server in service: the thread that answers questions to the fleet takes a second to start.
    for (const path of new Set(paths)) await tester.get(path);
    const stop = watchServer(club.baseUrl, METRICS_TOKEN);
    const reading = read(club.baseUrl, tester.cookie, paths);
    let isReading = true;
    const ingesting = (async () => {
      while (isReading && next < files.length) {
        // Not by the metrics: what they tell of the event loop begins anew whenever they are read.
        const { totalCount } = await tester.get<{ totalCount: number }>(
          `/logs?vehicle=${vehicleId}&state=waiting&limit=1`,
        );
        if (totalCount < LEAST_QUEUED) await send();
        else await setTimeout(250);
      }
    })();
    const { refused, count, atShare } = await reading;
    isReading = false;
    await ingesting;
    // The last look covers no whole stretch.
    const samples = (await stop()).slice(0, -1);
    if (refused > 0) throw new Error(`${refused} answers were refused or never came`);

    const stalls = spreadOf(samples.map(({ stallP99Ms }) => stallP99Ms));
    const once = (value: number) => spreadOf([value]);
    const rows: FigureRow[] = [
      { what: 'an answer, median', unit: 'ms', spread: once(atShare(0.5)) },
      { what: 'an answer, 95th percentile', unit: 'ms', spread: once(atShare(0.95)) },
      { what: 'an answer, 99th percentile', unit: 'ms', spread: once(atShare(0.99)) },
      { what: 'event loop late, 99th percentile, each 5 s', unit: 'ms', spread: stalls },
      { what: 'drives analysed meanwhile', unit: '', spread: once(next - FIRST_LOGS) },
    ];
    for (const row of rows) printRow(row);
    const isQuick = atShare(0.95) <= LIMITS.readMs && stalls.median <= LIMITS.stallMs;
    console.log(`${isQuick ? 'within' : 'NOT within'} ${LIMITS.readMs} ms, the loop ${LIMITS.stallMs} ms`);
    return { readers: READERS, answered: count, rows };
  } finally {
    await club.end();
  }
}

/** All requests of all pages in turn, as often as a page is opened. */
function pathsOf(of: PageOf): string[] {
  return TESTER_PAGES.flatMap((page) => Array.from({ length: page.weight }, () => page.paths(of)).flat());
}

/** The readers begin one after the other within the time between two requests of each: people do not click in step. */
async function read(url: string, cookie: string, paths: readonly string[]) {
  const timesMs: number[] = [];
  const results = await Promise.all(
    Array.from({ length: READERS }, async (_, reader) => {
      await setTimeout((1000 * reader) / REQUESTS_PER_S);
      return readAlone(url, cookie, turned(paths, (reader * paths.length) / READERS), timesMs);
    }),
  );
  timesMs.sort((a, b) => a - b);
  const refused = results.reduce((sum, { non2xx, errors }) => sum + non2xx + errors, 0);
  return { refused, count: timesMs.length, atShare: (share: number) => timesMs[Math.floor(share * timesMs.length)]! };
}

/** One reader with a connection; the time of each answer is added to the list. */
function readAlone(url: string, cookie: string, paths: readonly string[], timesMs: number[]) {
  const options: autocannon.Options = {
    url,
    connections: 1,
    duration: SECONDS,
    overallRate: REQUESTS_PER_S / READERS,
    headers: { cookie },
    requests: paths.map((path) => ({ method: 'GET', path: `/api/v1${path}` })),
  };
  return new Promise<autocannon.Result>((resolve, reject) => {
    const running = autocannon(options, (error: unknown, result) => (error ? reject(error as Error) : resolve(result)));
    running.on('response', (_client, _status, _bytes, ms) => timesMs.push(ms));
  });
}

function turned<T>(items: readonly T[], by: number): T[] {
  const from = Math.floor(by) % items.length;
  return [...items.slice(from), ...items.slice(0, from)];
}
