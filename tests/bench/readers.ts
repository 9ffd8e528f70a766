import autocannon from 'autocannon';
import { TESTER_PAGES } from '../load/pages.ts';
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
const SOURCE_MB = 150;
const LOGS_LEFT = 80;
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

    const stop = watchServer(club.baseUrl, METRICS_TOKEN);
    const reading = read(club.baseUrl, tester.cookie, { vehicleId, logId: first[0]! });
    let isReading = true;
    const ingesting = (async () => {
      while (isReading && next < files.length) {
        if ((await club.metric('syncline_jobs{state="queued"}')) < LEAST_QUEUED) await send();
        else await new Promise((resolve) => setTimeout(resolve, 250));
      }
    })();
    const { latency, requests, non2xx, errors } = await reading;
    isReading = false;
    await ingesting;
    const samples = await stop();
    if (non2xx + errors > 0) throw new Error(`${non2xx} answers were refused and ${errors} never came`);

    const once = (value: number) => spreadOf([value]);
    const rows: FigureRow[] = [
      { what: 'an answer, median', unit: 'ms', spread: once(latency.p50) },
      { what: 'an answer, 97.5th percentile', unit: 'ms', spread: once(latency.p97_5) },
      { what: 'an answer, 99th percentile', unit: 'ms', spread: once(latency.p99) },
      {
        what: 'thread away, 99th percentile, each 5 s',
        unit: 'ms',
        spread: spreadOf(samples.map((s) => s.stallP99Ms)),
      },
      { what: 'drives analysed meanwhile', unit: '', spread: once(next - FIRST_LOGS) },
    ];
    for (const row of rows) printRow(row);
    const isQuick = latency.p97_5 <= LIMITS.readMs;
    console.log(isQuick ? `within ${LIMITS.readMs} ms` : `NOT within ${LIMITS.readMs} ms`);
    return { readers: READERS, answered: requests.total, rows };
  } finally {
    await club.end();
  }
}

/** All requests of all pages in turn, as often as a page is opened. */
function read(url: string, cookie: string, of: { vehicleId: string; logId: string }) {
  const paths = TESTER_PAGES.flatMap((page) => Array.from({ length: page.weight }, () => page.paths(of)).flat());
  return autocannon({
    url,
    connections: READERS,
    duration: SECONDS,
    overallRate: REQUESTS_PER_S,
    headers: { cookie },
    requests: paths.map((path) => ({ method: 'GET', path: `/api/v1${path}` })),
  });
}
