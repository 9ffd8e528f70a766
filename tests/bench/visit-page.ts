import type { Browser, CDPSession, Page } from 'playwright-core';
import { openSignedIn } from '../support/browser.ts';

/**
 * A browser that is watched looks up where each request comes from, for which it would read the whole script once more;
 * with this it knows from the first reading on, as one that nobody watches need not.
 */
export const BROWSER_FLAGS = ['--js-flags=--no-enable-lazy-source-positions'];

/** How much slower the processor of the browser is than that of this machine. */
export const SLOWED = 4;

/** A new window of Chromium loads pages of its own for its address bar; by then it is done with them. */
const SETTLED_MS = 2500;

/** A paint is told of a while after it; a page whose answers came early has nothing more to wait for by then. */
const TOLD_MS = 1000;

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
  await page.waitForTimeout(SETTLED_MS);
  await page.goto(`${baseUrl}${path}`);
  const evidenceMs = await page.evaluate<number>('window.evidenceMs');
  const firstScriptKb = bytes.get('Script') ?? 0;
  await page.waitForLoadState('networkidle');
  await page.waitForTimeout(TOLD_MS);
  const largestPaintMs = await page.evaluate<number>('window.largestPaintMs');
  await context.close();
  const answerKb = (bytes.get('Fetch') ?? 0) + (bytes.get('XHR') ?? 0);
  const [scriptKb, styleKb] = [bytes.get('Script') ?? 0, bytes.get('Stylesheet') ?? 0];
  return { firstScriptKb, scriptKb, styleKb, answerKb, largestPaintMs, evidenceMs };
}

export interface Zoom {
  /** From the end of the drag until its first frame is on the screen, as the browser tells it (to 8 ms; below 16 it is 0). */
  readonly presentedMs: number;
  /** Until a frame is painted whose plots show the part: at first their pictures, stretched. */
  readonly pictureMs: number;
  /** Until the part is drawn anew from the samples that are there, with the numbers of its axis. */
  readonly plotsMs: number;
  /** Until its heading says so too, which comes from the address. */
  readonly headingMs: number;
  /** Until what the server sent of it is drawn. */
  readonly refinedMs: number;
}

/** How much of the drive a drag goes over (share of its time). */
const PART = 0.2;
/** A picture of the part, laid over its plot. */
const PICTURE = '.u-wrap canvas[style*="opacity: 0.999"][style*="scaleX"]';
/** A drag ends within a pixel of where it should (share). */
const ROOM = 0.01;

/**
 * Watches one zoom. What a plot shows is read from the times that are written on its canvas below the axis: all of the last
 * drawing must lie in the part. Text, because it runs in the page.
 */
const watchZoom = (durationS: number, from: number) => `
  window.timesDrawn ??= (() => {
    const drawn = [];
    const { clearRect, fillText } = CanvasRenderingContext2D.prototype;
    let drawnLast = null;
    CanvasRenderingContext2D.prototype.clearRect = function (...box) {
      if (this.canvas === drawnLast) drawn.length = 0;
      return clearRect.apply(this, box);
    };
    CanvasRenderingContext2D.prototype.fillText = function (text, ...place) {
      const [, minutes, seconds] = /^(\\d+):([\\d.]+)$/.exec(text) ?? [];
      if (minutes !== undefined) {
        drawnLast = this.canvas;
        drawn.push(60 * minutes + Number(seconds));
      }
      return fillText.call(this, text, ...place);
    };
    return drawn;
  })();
  window.zoomed = new Promise((resolve) => {
    const [least, most] = [${from - ROOM}, ${from + PART + ROOM}].map((share) => share * ${durationS});
    const heading = () => document.querySelector('section h2')?.textContent;
    const sampling = () => [...document.querySelectorAll('section p')].map((p) => p.textContent).find((t) => /sample/.test(t ?? ''));
    const before = { heading: heading(), sampling: sampling() };
    const seen = {};
    const presented = new Promise((known) => {
      new PerformanceObserver((list, observer) => {
        const [ended] = list.getEntriesByName('mouseup');
        if (ended === undefined) return;
        observer.disconnect();
        known(ended.duration);
      }).observe({ type: 'event', durationThreshold: 16 });
      setTimeout(() => known(0), 3000);
    });
    document.addEventListener('mouseup', ({ timeStamp }) => {
      window.timesDrawn.length = 0;
      const painted = new MessageChannel();
      const look = () => {
        const isPart = window.timesDrawn.length > 0 && window.timesDrawn.every((timeS) => timeS >= least && timeS <= most);
        const now = {
          pictureMs: isPart || document.querySelector('${PICTURE}') !== null,
          plotsMs: isPart,
          headingMs: heading() !== before.heading,
          refinedMs: sampling() !== before.sampling,
        };
        painted.port2.postMessage(now);
        if (!Object.values(now).every(Boolean)) requestAnimationFrame(look);
      };
      painted.port1.onmessage = ({ data }) => {
        for (const name of Object.keys(data)) if (data[name]) seen[name] ??= performance.now() - timeStamp;
        if (Object.values(data).every(Boolean)) presented.then((presentedMs) => resolve({ ...seen, presentedMs }));
      };
      requestAnimationFrame(look);
    }, { capture: true, once: true });
  });
  undefined`;

/** Drags over a part of the drive that begins at `from` (share), and goes back to the whole. */
export async function zoom(page: Page, durationS: number, from: number): Promise<Zoom> {
  const plot = page.locator('.u-over').first();
  const box = await plot.boundingBox();
  if (box === null) throw new Error('there is no plot to zoom in');
  const y = box.y + box.height / 2;
  await page.evaluate(watchZoom(durationS, from));
  await page.mouse.move(box.x + box.width * from, y);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * (from + PART), y, { steps: 8 });
  await page.mouse.up();
  const times = await page.evaluate<Zoom>('window.zoomed');
  await page.getByRole('button', { name: 'Whole drive' }).click();
  await page.getByRole('heading', { level: 2, name: 'Whole drive' }).waitFor();
  await page.waitForTimeout(300);
  return times;
}
