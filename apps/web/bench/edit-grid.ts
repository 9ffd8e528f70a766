import { existsSync, readFileSync } from 'node:fs';
import { extname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium, type Page, type Route } from 'playwright-core';
import { answersOfOneDraft } from './one-draft.ts';

/**
 * How long an edit in a table of 64 × 64 cells takes from the key to the picture. The built pages run in Chromium on
 * answers that are handed to them without a server. Prints median and 95th percentile of each kind of edit.
 */
const DIST = fileURLToPath(new URL('../dist', import.meta.url));
const ORIGIN = 'http://bench.test';
const TYPES: Record<string, string> = {
  '.css': 'text/css',
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.svg': 'image/svg+xml',
};
const REPEATS = 30;
const WARM_UP = 5;
/** Time for what follows an edit: the checks, the plots, the save (ms). */
const REST_MS = 120;

interface Edit {
  readonly name: string;
  /** Keys that lead up to it, not measured. */
  readonly before: readonly string[];
  readonly measured: string;
  readonly after: readonly string[];
}

const SELECT_ALL = ['Control+Home', 'Control+Shift+End'];
const EDITS: readonly Edit[] = [
  { name: 'move to the next cell', before: [], measured: 'ArrowDown', after: ['ArrowUp'] },
  { name: 'type a digit into one cell', before: [], measured: '5', after: ['Escape'] },
  { name: 'take the number', before: ['5', '0', '0'], measured: 'Enter', after: ['Control+z'] },
  { name: 'type a digit for all 4096 cells', before: SELECT_ALL, measured: '5', after: ['Escape'] },
  { name: 'smooth all 4096 cells', before: SELECT_ALL, measured: 's', after: ['Control+z'] },
  { name: 'undo that', before: [...SELECT_ALL, 's'], measured: 'Control+z', after: [] },
];

async function answer(route: Route): Promise<void> {
  const { pathname } = new URL(route.request().url());
  const api = '/api/v1';
  if (pathname.startsWith(api)) {
    const found = ANSWERS[`${route.request().method()} ${pathname.slice(api.length)}`];
    const body = found === undefined ? '{}' : JSON.stringify(found(route.request().postDataJSON()));
    return route.fulfill({ status: found === undefined ? 404 : 200, contentType: 'application/json', body });
  }
  const asked = join(DIST, pathname);
  const file = extname(pathname) !== '' && existsSync(asked) ? asked : join(DIST, 'index.html');
  await route.fulfill({ contentType: TYPES[extname(file)] ?? 'application/octet-stream', body: readFileSync(file) });
}

const ANSWERS = answersOfOneDraft();

/**
 * Notes, for the next key that goes down, the time until a frame that shows its outcome has been handed over (ms). Text,
 * because it runs in the page, where what a compiler adds to functions is unknown.
 */
const WATCH_NEXT_KEY = `window.keyToPaintMs = new Promise((resolve) => {
  const onKey = (event) => {
    if (event.key === 'Control' || event.key === 'Shift') return;
    document.removeEventListener('keydown', onKey, true);
    const channel = new MessageChannel();
    channel.port1.onmessage = () => resolve(performance.now() - event.timeStamp);
    requestAnimationFrame(() => channel.port2.postMessage(null));
  };
  document.addEventListener('keydown', onKey, true);
}); undefined`;

async function measure(page: Page, { before, measured, after }: Edit): Promise<number> {
  for (const key of before) await page.keyboard.press(key);
  await page.waitForTimeout(REST_MS);
  await page.evaluate(WATCH_NEXT_KEY);
  await page.keyboard.press(measured);
  const ms = await page.evaluate<number>('window.keyToPaintMs');
  for (const key of after) await page.keyboard.press(key);
  await page.waitForTimeout(REST_MS);
  return ms;
}

function quantile(sorted: readonly number[], share: number): number {
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] as number;
}

const executablePath = process.env['CHROMIUM_PATH'] ?? '/usr/bin/chromium';
const browser = await chromium.launch({ executablePath, args: ['--headless', '--no-sandbox', '--disable-gpu'] });
const page = await browser.newPage({ viewport: { width: 1440, height: 1000 } });
await page.route(`${ORIGIN}/**`, answer);
await page.goto(`${ORIGIN}/drafts/draft`);
const grid = page.getByRole('grid');
await grid.waitFor();
await page
  .getByRole('img', { name: /^Large table/ })
  .first()
  .waitFor();
for (const edit of EDITS) {
  await grid.focus();
  await page.keyboard.press('Control+Home');
  const times: number[] = [];
  for (let i = 0; i < WARM_UP + REPEATS; i++) {
    const ms = await measure(page, edit);
    if (i >= WARM_UP) times.push(ms);
  }
  times.sort((a, b) => a - b);
  const [median, p95] = [quantile(times, 0.5), quantile(times, 0.95)].map((ms) => `${ms.toFixed(1)} ms`);
  console.log(`${edit.name.padEnd(34)} median ${median.padStart(8)}   p95 ${p95.padStart(8)}`);
}
await browser.close();
