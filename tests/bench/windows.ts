import { makeRandom, TERN_PLATFORM } from '@syncline/drivetrain';
import { BenchClub, headOf } from './bench-club.ts';
import { type FigureRow, printRow, spreadOf } from './figures.ts';
import { longDriveFile, TWELVE_COLUMNS } from './long-drive.ts';

/** An hour of the drive, about. */
const MEGABYTES = 18;
const POINTS = 1000;
/** Requests of a span after the first: a server that has just started compiles what it runs. */
const EARLY = 20;
const WARM = 60;
const SPANS_S = [3600, 360, 60, 4];
/** What any window may take (ms). */
const LIMIT_MS = 30;

interface Window {
  readonly timeS: readonly number[];
  readonly series: readonly unknown[];
}

/** Windows of eleven signals of an hour at 100 Hz, by HTTP: the first of a fresh server, the next twenty, and others. */
export async function benchWindows(): Promise<unknown> {
  const path = await longDriveFile(MEGABYTES);
  console.log(`\nSignals of an hour at 100 Hz of ${TERN_PLATFORM.title}, ${POINTS} points, by HTTP`);
  const ids = TWELVE_COLUMNS.columns.flatMap((column) => (column.kind === 'signal' ? [column.signal] : []));
  const club = new BenchClub({ SYNCLINE_WORKERS: '1' });
  try {
    await club.found(headOf(path));
    await club.stop();
    const logId = await club.addLog(path, 'hour.csv');
    await club.start();
    await club.ready(logId);
    const random = makeRandom('windows');
    const ask = async (spanS: number) => {
      const from = random.between(0, 3600 - spanS);
      const query = `signals=${ids.join(',')}&from=${from}&to=${from + spanS}&points=${POINTS}`;
      const began = performance.now();
      const { timeS, series } = await club.members.tester.get<Window>(`/logs/${logId}/signals?${query}`);
      if (series.length !== ids.length || timeS.length < POINTS / 4) throw new Error('the window is not whole');
      return performance.now() - began;
    };
    const rows: FigureRow[] = [];
    let slow = 0;
    for (const spanS of SPANS_S) {
      await club.stop();
      await club.start();
      const first = await ask(spanS);
      const [early, warm]: [number[], number[]] = [[], []];
      for (let run = 0; run < EARLY; run++) early.push(await ask(spanS));
      for (let run = 0; run < WARM; run++) warm.push(await ask(spanS));
      const row = (which: string, times: readonly number[]) => {
        rows.push({ what: `${spanS} s anywhere, ${which}`, unit: 'ms', spread: spreadOf(times) });
      };
      row('the first of a fresh server', [first]);
      row(`the next ${EARLY}`, early);
      row('others', warm);
      slow += Number(spreadOf(warm).median > LIMIT_MS);
    }
    for (const row of rows) printRow(row);
    console.log(slow === 0 ? `others within ${LIMIT_MS} ms` : `others NOT within ${LIMIT_MS} ms: ${slow} of them`);
    return { rows };
  } finally {
    await club.end();
  }
}
