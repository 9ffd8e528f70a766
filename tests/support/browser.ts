import { existsSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { type Browser, chromium, type Page } from 'playwright-core';

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
export async function launchBrowser(): Promise<Browser> {
  const executablePath = process.env.CHROMIUM_PATH ?? PLACES.find(existsSync);
  if (executablePath === undefined) throw new Error('The browser tests need Chromium; set CHROMIUM_PATH.');
  return chromium.launch({ executablePath, args: FLAGS });
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
