import { machine, printJson } from './figures.ts';
import { benchForms } from './forms.ts';
import { benchManyLogs } from './many-logs.ts';
import { benchOneLog } from './one-log.ts';
import { benchPages } from './pages.ts';
import { benchReaders } from './readers.ts';
import { benchWindows } from './windows.ts';

/**
 * `npm run bench -w tests -- 200` has the whole job done on one log of 200 MB, `forms 200` on the same drive as CSV, in gzip
 * and as MDF, `many 25` gives many logs to one and to two workers, `windows` asks for signals, `readers` reads while drives
 * are analysed, `pages` opens them in Chromium. Without arguments all of it in small.
 */
const [first, ...rest] = process.argv.slice(2);
const sizes = [first, ...rest].map(Number).filter((number) => number > 0);
const isAll = first === undefined;
const RUNS = { small: 3, large: 1 };
const LARGE_MB = 1000;
const SMALL = { megabytes: 50, logs: 12 };

console.log(machine());
const figures: Record<string, unknown> = {};
if (isAll || Number(first) > 0) {
  for (const megabytes of isAll ? [SMALL.megabytes] : sizes) {
    figures[`oneLog${megabytes}`] = await benchOneLog(megabytes, megabytes < LARGE_MB ? RUNS.small : RUNS.large);
  }
}
if (isAll || first === 'forms') figures.forms = await benchForms(sizes[0] ?? SMALL.megabytes);
if (isAll || first === 'many') {
  for (const workers of [1, 2]) {
    figures[`manyLogs${workers}`] = await benchManyLogs(sizes[0] ?? SMALL.logs, workers);
  }
}
if (isAll || first === 'windows') figures.windows = await benchWindows();
if (isAll || first === 'readers') figures.readers = await benchReaders();
if (isAll || first === 'pages') figures.pages = await benchPages();
printJson(figures);
