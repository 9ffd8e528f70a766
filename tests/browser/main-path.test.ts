import type { CalibrationResponse, LogShiftsResponse, LogSummary } from '@syncline/contract';
import { driveTern, type PlannedDrive, ternDrives, ternFleet, writeCsvLog } from '@syncline/drivetrain';
import { type SeededDemo, seedDemo } from '@syncline/server';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Api } from '../support/api.ts';
import { launchBrowser, openSignedIn, seriousViolations } from '../support/browser.ts';
import { startTestServer, type TestServer } from '../support/test-server.ts';

/** Small enough to be seeded in seconds, large enough for rates and a comparison. */
const CARS = 6;
const DRIVES = 36;

let server: TestServer;
let baseUrl: string;
let demo: SeededDemo;
let browser: Browser;
/** The maintainer's, for ids that pages put into their addresses. */
let api: Api;

beforeAll(async () => {
  server = await startTestServer();
  ({ baseUrl } = server);
  demo = await seedDemo({ baseUrl, nowMs: Date.now(), showProgress: () => {}, carCount: CARS, driveCount: DRIVES });
  api = new Api(baseUrl);
  await api.post('/session', demo.maintainer);
  browser = await launchBrowser();
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await server?.close();
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
    await sent.getByText('Ready').waitFor({ timeout: 90_000 });
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
    const reopened = copied.getByRole('heading', { level: 2, name: /^Shift \d-\d at/ });
    await reopened.waitFor();
    expect(await reopened.textContent()).toBe(whatWasOpened);

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

/** The main pages, by a name and the way to their address. */
const PAGES: readonly (readonly [string, () => Promise<string>])[] = [
  ['Fleet', async () => '/fleet'],
  ['Shifts', async () => '/shifts'],
  ['Logs', async () => '/logs'],
  ['Log', async () => `/logs/${(await newestLog()).log.id}`],
  [
    'Log with a chosen shift',
    async () => {
      const { log, shiftId } = await newestLog();
      return `/logs/${log.id}?shift=${shiftId}`;
    },
  ],
  ['Upload', async () => '/logs/upload'],
  ['Vehicles', async () => '/vehicles'],
  ['Vehicle', async () => `/vehicles/${(await newestLog()).log.vehicleId}`],
  ['Gearboxes', async () => '/platforms'],
  ['Gearbox', async () => '/platforms/tern-6?dialect=kelp'],
  ['Calibrations', async () => '/calibrations'],
  ['Revision', async () => `/revisions/${(await revisionIds())[0]}`],
  [
    'Compare',
    async () => {
      const [first, , third] = await revisionIds();
      return `/compare?base=${first}&other=${third}`;
    },
  ],
  ['People', async () => '/people'],
];

describe.each(['light', 'dark'] as const)('accessibility in the %s theme', (colorScheme) => {
  let context: BrowserContext;
  let page: Page;
  beforeAll(async () => {
    ({ context, page } = await openSignedIn(browser, { baseUrl, account: demo.maintainer, look: { colorScheme } }));
  });
  afterAll(() => context?.close());

  it.each(PAGES)('axe finds no serious violation on the page %s', async (_name, pathOf) => {
    await page.goto(`${baseUrl}${await pathOf()}`, { waitUntil: 'networkidle' });
    await page.getByRole('heading', { level: 1 }).waitFor();
    expect(await seriousViolations(page)).toEqual([]);
  });
});

describe('on a phone, 390 px wide', () => {
  let context: BrowserContext;
  let page: Page;
  beforeAll(async () => {
    ({ context, page } = await openSignedIn(browser, {
      baseUrl,
      account: demo.maintainer,
      look: { viewport: { width: 390, height: 844 } },
    }));
  });
  afterAll(() => context?.close());

  it.each(PAGES)('the page %s does not scroll sideways', async (_name, pathOf) => {
    await page.goto(`${baseUrl}${await pathOf()}`, { waitUntil: 'networkidle' });
    await page.getByRole('heading', { level: 1 }).waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)).toBeLessThanOrEqual(1);
  });
});
