import type { Browser, CDPSession, Page } from 'playwright-core';
import { openSignedIn } from '../support/browser.ts';

/** How much slower the processor of the browser is than that of this machine. */
export const SLOWED = 4;

export interface Address {
  readonly name: string;
  readonly path: string;
  /** What stands on the page once it tells something: a CSS selector. */
  readonly evidence: string;
}

export interface Visit {
  /** Until the evidence stands there, and in all: a plot is loaded after the figures. */
  readonly firstScriptKb: number;
  readonly scriptKb: number;
  readonly styleKb: number;
  readonly answerKb: number;
  readonly largestPaintMs: number;
  readonly evidenceMs: number;
}

/** Notes when the evidence is painted and the largest paint (ms). Text, because it runs in the page. */
const watchFor = (evidence: string) => `
  window.largestPaintMs = 0;
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) window.largestPaintMs = entry.startTime;
  }).observe({ type: 'largest-contentful-paint', buffered: true });
  window.evidenceMs = new Promise((resolve) => {
    const look = () => {
      if (document.querySelector(${JSON.stringify(evidence)}) === null) return requestAnimationFrame(look);
      const channel = new MessageChannel();
      channel.port1.onmessage = () => resolve(performance.now());
      requestAnimationFrame(() => channel.port2.postMessage(null));
    };
    requestAnimationFrame(look);
  });`;

export async function slowedSession(page: Page): Promise<CDPSession> {
  const session = await page.context().newCDPSession(page);
  await session.send('Network.enable');
  await session.send('Emulation.setCPUThrottlingRate', { rate: SLOWED });
  return session;
}

/** Compressed bytes that came in by kind of content (kB of 1000). */
function countBytes(session: CDPSession): Map<string, number> {
  const kinds = new Map<string, string>();
  const sums = new Map<string, number>();
  session.on('Network.responseReceived', ({ requestId, type }) => kinds.set(requestId, type));
  session.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    const kind = kinds.get(requestId) ?? 'Other';
    sums.set(kind, (sums.get(kind) ?? 0) + encodedDataLength / 1000);
  });
  return sums;
}

export type Account = { readonly email: string; readonly password: string };

export async function visit(
  browser: Browser,
  baseUrl: string,
  account: Account,
  { path, evidence }: Address,
): Promise<Visit> {
  const { context, page } = await openSignedIn(browser, { baseUrl, account });
  const session = await slowedSession(page);
  const bytes = countBytes(session);
  await page.addInitScript(watchFor(evidence));
  await page.goto(`${baseUrl}${path}`);
  const evidenceMs = await page.evaluate<number>('window.evidenceMs');
  const firstScriptKb = bytes.get('Script') ?? 0;
  await page.waitForLoadState('networkidle');
  const largestPaintMs = await page.evaluate<number>('window.largestPaintMs');
  await context.close();
  const answerKb = (bytes.get('Fetch') ?? 0) + (bytes.get('XHR') ?? 0);
  const [scriptKb, styleKb] = [bytes.get('Script') ?? 0, bytes.get('Stylesheet') ?? 0];
  return { firstScriptKb, scriptKb, styleKb, answerKb, largestPaintMs, evidenceMs };
}

/** From the end of a drag to the frame that shows the part, and to the frame that shows what the server sent of it (ms). */
const WATCH_ZOOM = `window.zoomMs = new Promise((resolve) => {
  const heading = () => document.querySelector('section h2')?.textContent;
  const sampling = () => [...document.querySelectorAll('section p')].map((p) => p.textContent).find((t) => /sample/.test(t ?? ''));
  const before = [heading(), sampling()];
  document.addEventListener('mouseup', ({ timeStamp }) => {
    let first = null;
    const look = () => {
      const now = performance.now();
      if (first === null && heading() !== before[0]) first = now;
      if (first !== null && sampling() !== before[1]) {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => resolve([first - timeStamp, performance.now() - timeStamp]);
        return channel.port2.postMessage(null);
      }
      requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
  }, { capture: true, once: true });
}); undefined`;

/** Drags over a fifth of the drive, and goes back to the whole by a double click. */
export async function zoom(page: Page): Promise<[shown: number, refined: number]> {
  const plot = page.locator('.u-over').first();
  const box = await plot.boundingBox();
  if (box === null) throw new Error('there is no plot to zoom in');
  const y = box.y + box.height / 2;
  await page.evaluate(WATCH_ZOOM);
  await page.mouse.move(box.x + box.width * 0.4, y);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.6, y, { steps: 8 });
  await page.mouse.up();
  const times = await page.evaluate<[number, number]>('window.zoomMs');
  await page.getByRole('button', { name: 'Whole drive' }).click();
  await page.getByRole('heading', { level: 2, name: 'Whole drive' }).waitFor();
  await page.waitForTimeout(300);
  return times;
}
