import { existsSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Page } from 'playwright-core';

const PLACES = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome', '/snap/bin/chromium'];
const FLAGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** Starts the Chromium of this machine; `CHROMIUM_PATH` names another. Throws when there is none. */
export async function launchBrowser(flags: readonly string[] = []): Promise<Browser> {
  const executablePath = process.env.CHROMIUM_PATH ?? PLACES.find(existsSync);
  if (executablePath === undefined) throw new Error('The browser tests need Chromium; set CHROMIUM_PATH.');
  return chromium.launch({ executablePath, args: [...FLAGS, ...flags] });
}

/** A wide screen; `look` says otherwise. */
const WIDE = { viewport: { width: 1440, height: 1000 } };
/** CI is crowded: what is waited for may take long. */
const PATIENCE_MS = 60_000;

/** An empty page of a browser of its own. */
export async function openPage(browser: Browser, look: BrowserContextOptions = {}) {
  const context = await browser.newContext({ ...WIDE, ...look });
  const page = await context.newPage();
  page.setDefaultTimeout(PATIENCE_MS);
  return { context, page };
}

interface Visit {
  readonly baseUrl: string;
  readonly account: { readonly email: string; readonly password: string };
  readonly look?: BrowserContextOptions;
}

/** An empty page of somebody who is signed in already; the form of the sign-in has its own test. */
export async function openSignedIn(
  browser: Browser,
  { baseUrl, account, look }: Visit,
): Promise<{ context: BrowserContext; page: Page }> {
  const opened = await openPage(browser, look);
  const { email, password } = account;
  const answer = await opened.context.request.post(`${baseUrl}/api/v1/session`, {
    data: { email, password },
    headers: { origin: new URL(baseUrl).origin },
  });
  if (!answer.ok()) throw new Error(`sign-in refused: ${await answer.text()}`);
  return opened;
}

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface AxeViolation {
  readonly id: string;
  readonly impact: string | null;
  readonly nodes: readonly { readonly html: string }[];
}

/** Serious and critical violations of the accessibility rules of axe-core on the page as it stands, in words. */
export async function seriousViolations(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  const violations = (await page.evaluate('axe.run().then(({ violations }) => violations)')) as AxeViolation[];
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(' | ')}`);
}
