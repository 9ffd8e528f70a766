import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { CalibrationResponse, LogShiftsResponse, LogSummary } from '@syncline/contract';
import { driveTern, type PlannedDrive, ternDrives, ternFleet, writeCsvLog } from '@syncline/drivetrain';
import { type BuiltApp, buildApp, createIds, loadSettings, type SeededDemo, seedDemo } from '@syncline/server';
import { openStore, type Store } from '@syncline/store';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Api } from '../support/api.ts';
import { launchBrowser, seriousViolations } from '../support/browser.ts';

/** Small enough to be seeded in seconds, large enough for rates and a comparison. */
const CARS = 6;
const DRIVES = 36;

let folder: string;
let store: Store;
let built: BuiltApp;
let baseUrl: string;
let demo: SeededDemo;
let browser: Browser;
/** The maintainer's, for ids that pages put into their addresses. */
let api: Api;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-browser-'));
  const settings = loadSettings({
    SYNCLINE_DATA: folder,
    SYNCLINE_LOG_LEVEL: 'silent',
    SYNCLINE_PORT: '0',
    SYNCLINE_MIN_FREE_BYTES: '0',
  });
  store = openStore({ folder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
  built = await buildApp({ settings, store, clock: Date.now });
  baseUrl = await built.app.listen({ host: '127.0.0.1', port: 0 });
  demo = await seedDemo({ baseUrl, nowMs: Date.now(), showProgress: () => {}, carCount: CARS, driveCount: DRIVES });
  api = new Api(baseUrl);
  await api.post('/session', demo.maintainer);
  browser = await launchBrowser();
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await built?.app.close();
  store?.close();
  rmSync(folder, { recursive: true, force: true });
});

async function signIn(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  await page.goto(baseUrl);
  await page.getByLabel('E-mail address').fill(demo.maintainer.email);
  await page.getByLabel('Password', { exact: true }).fill(demo.maintainer.password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByRole('heading', { level: 1, name: 'Fleet' }).waitFor();
  return page;
}

/** A new drive of the first car with the first, poor map: warm, hilly and hard, so that it flares. */
function flaringDrive(): { name: string; mimeType: string; buffer: Buffer } {
  const car = ternFleet('shore', CARS)[0]!;
  const plan: PlannedDrive = {
    ...ternDrives('browser', 1, 1)[0]!,
    revision: 'r1',
    program: 'normal',
    kind: 'hill',
    durationS: 300,
    startTemperatureC: 85,
    briskness: 1.5,
  };
  const chunks = [...writeCsvLog(driveTern(plan, car).log, car.dialect, Date.UTC(2026, 4, 1))];
  return { name: 'evening-hills.csv', mimeType: 'text/csv', buffer: Buffer.concat(chunks) };
}

describe('the path from a drive to the comparison of two revisions', () => {
  it('leads from sign-in over an upload and its flare to the fleet matrix and the comparison, each under an address of its own', async () => {
    const context = await browser.newContext({ viewport: { width: 1440, height: 1000 } });
    const page = await signIn(context);

    await page.goto(`${baseUrl}/logs/upload`);
    await page.getByLabel('Car that was driven').first().click();
    await page.getByRole('option').filter({ hasText: 'Thrift' }).first().click();
    await page.locator('input[type=file]').setInputFiles(flaringDrive());
    await page.getByRole('button', { name: /^Upload 1/ }).click();
    await page.getByText('All sent: you may close this tab.').waitFor();
    const sent = page
      .getByRole('table', { name: 'This upload' })
      .getByRole('row')
      .filter({ hasText: 'evening-hills.csv' });
    await sent.getByText('Ready').waitFor();
    await sent.getByRole('link', { name: /shifts$/ }).click();

    await page.getByRole('heading', { level: 1, name: 'evening-hills.csv' }).waitFor();
    await page.getByRole('img', { name: /^Speeds from/ }).waitFor();
    const marks = page.getByRole('group', { name: 'Shifts of this drive' });
    await marks.getByRole('button', { name: /flare/ }).first().click();
    const opened = page.getByRole('heading', { level: 2, name: /^Shift \d-\d at .* flare/ });
    await opened.waitFor();
    const kind = /Shift (\d-\d)/.exec((await opened.textContent()) ?? '')?.[1] ?? '';
    await page.getByRole('img', { name: `Input speed of shift ${kind}`, exact: false }).waitFor();
    const whatWasOpened = await opened.textContent();

    // The address alone shows the same to somebody else.
    const copied = await context.newPage();
    await copied.goto(page.url());
    await copied.getByRole('heading', { level: 2, name: /^Shift \d-\d at .* flare/ }).waitFor();
    expect(await copied.getByRole('heading', { level: 2, name: /^Shift/ }).textContent()).toBe(whatWasOpened);

    await page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Fleet' }).click();
    const row = page
      .getByRole('table')
      .first()
      .getByRole('row')
      .filter({ has: page.getByRole('rowheader', { name: kind }) });
    await row.waitFor();
    await row.getByRole('link').first().click();
    await page.getByRole('heading', { level: 1, name: 'Shifts' }).waitFor();
    expect(new URL(page.url()).searchParams.get('kind')).toBe(kind);
    await page.getByRole('table').first().getByRole('row').nth(1).waitFor();

    await page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Compare' }).click();
    await page.getByRole('heading', { level: 1, name: 'Compare' }).waitFor();
    const revisions = await revisionIds();
    await page.goto(`${baseUrl}/compare?base=${revisions[0]}&other=${revisions[2]}`);
    await page.getByRole('heading', { level: 1, name: /r3 against .*r1/ }).waitFor();
    await page
      .getByText('basePressure', { exact: false })
      .or(page.getByText('Base pressure', { exact: false }))
      .first()
      .waitFor();
    await context.close();
  });
});

/** Ids of the three revisions, oldest first. */
async function revisionIds(): Promise<string[]> {
  const { items } = await api.get<{ items: { id: string }[] }>('/calibrations');
  const { revisions } = await api.get<CalibrationResponse>(`/calibrations/${items[0]!.id}`);
  return revisions.sort((a, b) => a.number - b.number).map(({ id }) => id);
}

/** The newest log and one of its shifts. */
async function newestLog(): Promise<{ log: LogSummary; shiftId: string }> {
  const { items } = await api.get<{ items: LogSummary[] }>('/logs?limit=1&state=ready');
  const { shifts } = await api.get<LogShiftsResponse>(`/logs/${items[0]!.id}/shifts`);
  return { log: items[0]!, shiftId: shifts[0]!.id };
}

describe.each(['light', 'dark'] as const)('accessibility in the %s theme', (colorScheme) => {
  it('axe finds no serious violation on any main page', async () => {
    const context = await browser.newContext({ viewport: { width: 1440, height: 1000 }, colorScheme });
    const page = await signIn(context);
    const [first, , third] = await revisionIds();
    const { log, shiftId } = await newestLog();
    const found: Record<string, string[]> = {};
    const paths = [
      '/fleet',
      '/shifts',
      '/logs',
      `/logs/${log.id}`,
      `/logs/${log.id}?shift=${shiftId}`,
      '/logs/upload',
      '/vehicles',
      `/vehicles/${log.vehicleId}`,
      '/calibrations',
      `/revisions/${first}`,
      `/compare?base=${first}&other=${third}`,
      '/people',
    ];
    for (const path of paths) {
      await page.goto(`${baseUrl}${path}`, { waitUntil: 'networkidle' });
      await page.getByRole('heading', { level: 1 }).waitFor();
      const violations = await seriousViolations(page);
      if (violations.length > 0) found[path] = violations;
    }
    expect(found).toEqual({});
    await context.close();
  });
});

it('every page keeps within the width of a phone', async () => {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
  const page = await signIn(context);
  const { log } = await newestLog();
  const wide: string[] = [];
  for (const path of [
    '/fleet',
    '/shifts',
    '/logs',
    `/logs/${log.id}`,
    '/vehicles',
    '/calibrations',
    '/compare',
    '/people',
  ]) {
    await page.goto(`${baseUrl}${path}`, { waitUntil: 'networkidle' });
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    if (overflow > 1) wide.push(`${path}: ${overflow} px too wide`);
  }
  expect(wide).toEqual([]);
  await context.close();
});
