import type {
  CalibrationResponse,
  CompareDetailResponse,
  FleetVehiclesResponse,
  ShiftFacetsResponse,
  ShiftRow,
} from '@syncline/contract';
import { type SeededDemo, seedDemo } from '@syncline/server';
import type { Browser, BrowserContext, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Api } from '../support/api.ts';
import { launchBrowser, seriousViolations } from '../support/browser.ts';
import { startTestServer, type TestServer } from '../support/test-server.ts';

/** Small enough to be seeded in seconds; several pages of shifts, and cars that drove more than one revision. */
const CARS = 6;
const DRIVES = 36;

let server: TestServer;
let baseUrl: string;
let demo: SeededDemo;
let browser: Browser;
const apis = {} as Record<'maintainer' | 'tester', Api>;
const contexts = {} as Record<'maintainer' | 'tester', Awaited<ReturnType<BrowserContext['storageState']>>>;
/** Oldest and newest revision. */
let base: string;
let other: string;

beforeAll(async () => {
  server = await startTestServer();
  ({ baseUrl } = server);
  demo = await seedDemo({ baseUrl, nowMs: Date.now(), showProgress: () => {}, carCount: CARS, driveCount: DRIVES });
  browser = await launchBrowser();
  for (const who of ['maintainer', 'tester'] as const) {
    apis[who] = new Api(baseUrl);
    await apis[who].post('/session', demo[who]);
    const context = await browser.newContext();
    await context.request.post(`${baseUrl}/api/v1/session`, { data: demo[who], headers: { origin: baseUrl } });
    contexts[who] = await context.storageState();
    await context.close();
  }
  const { items } = await apis.maintainer.get<{ items: { id: string }[] }>('/calibrations');
  const { revisions } = await apis.maintainer.get<CalibrationResponse>(`/calibrations/${items[0]!.id}`);
  const driven = revisions.filter(({ shiftCount }) => shiftCount > 0).sort((a, b) => a.number - b.number);
  [base, other] = [driven[0]!.id, driven.at(-1)!.id];
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

type Look = NonNullable<Parameters<Browser['newContext']>[0]>;

/** A page of somebody signed in, on a wide screen unless said otherwise. */
async function open(path: string, { who = 'maintainer', ...look }: Look & { who?: 'maintainer' | 'tester' } = {}) {
  const context = await browser.newContext({
    viewport: { width: 1440, height: 1000 },
    storageState: contexts[who],
    ...look,
  });
  const page = await context.newPage();
  page.setDefaultTimeout(60_000);
  await page.goto(`${baseUrl}${path}`);
  await settled(page);
  return page;
}

/** Waits until the page has its heading and nothing on it is on its way. */
async function settled(page: Page): Promise<void> {
  await page.getByRole('heading', { level: 1 }).waitFor();
  await page.waitForFunction(() => document.querySelector('[aria-busy="true"]') === null);
}

const searchOf = (page: Page) => Object.fromEntries(new URL(page.url()).searchParams);
const listOf = (page: Page) => page.getByRole('region', { name: 'List of shifts' });

/** All shifts in the order of the list, as scripts read them. */
async function allShifts(query: string): Promise<ShiftRow[]> {
  const rows: ShiftRow[] = [];
  let cursor = '';
  do {
    const answer = await apis.maintainer.get<{ items: ShiftRow[]; nextCursor: string | null }>(
      `/shifts?${query}&limit=200${cursor}`,
    );
    rows.push(...answer.items);
    cursor = answer.nextCursor === null ? '' : `&cursor=${encodeURIComponent(answer.nextCursor)}`;
  } while (cursor !== '');
  return rows;
}

describe('the Fleet page', () => {
  it('has measure and filters in its address, which shows the same to somebody else', async () => {
    const page = await open('/fleet');
    await page.getByLabel('Measure', { exact: true }).first().click();
    await page.getByRole('option', { name: 'Inertia time (s)' }).click();
    await page.getByRole('heading', { level: 2, name: 'Inertia time by shift and load' }).waitFor();
    await settled(page);
    await page.getByRole('button', { name: /^50–80 °C/ }).click();
    const title = /^Inertia time by shift and load ?, fluid 50–80 °C$/;
    await page.getByRole('heading', { level: 2, name: title }).waitFor();
    expect(searchOf(page)).toEqual({ measure: 'inertiaTimeS', fluid: '2' });
    await settled(page);
    const cells = page.getByRole('table', { name: 'Inertia time by shift and load' }).getByRole('link');
    const told = await cells.allTextContents();
    expect(told.some((text) => /\d\.\d\d\u202fs/.test(text))).toBe(true);
    const copied = await open(page.url().slice(baseUrl.length));
    await copied.getByRole('heading', { level: 2, name: title }).waitFor();
    const there = copied.getByRole('table', { name: 'Inertia time by shift and load' }).getByRole('link');
    await expect.poll(() => there.allTextContents()).toEqual(told);
    await copied.context().close();
    await page.context().close();
  });

  it('opens the shifts behind a cell with every filter of the page', async () => {
    const page = await open(`/fleet?measure=slow&revision=${base}&program=calm&fluid=3`);
    const row = page.getByRole('table', { name: 'Slow rate by shift and load' }).getByRole('row').nth(1);
    const kind = (await row.getByRole('rowheader').textContent()) ?? '';
    await row
      .getByRole('link', { name: /load 15–30 %/ })
      .or(row.getByRole('link').nth(1))
      .first()
      .click();
    await page.getByRole('heading', { level: 1, name: 'Shifts' }).waitFor();
    expect(searchOf(page)).toMatchObject({
      kind,
      revision: base,
      program: 'calm',
      fluidTemperatureMin: '80',
      fluidTemperatureMax: '100',
      sort: 'inertiaTimeS',
    });
    await page.context().close();
  });

  it('counts for a car as many shifts as the link beside it lists', async () => {
    const { vehicles } = await apis.maintainer.get<FleetVehiclesResponse>(
      '/fleet/vehicles?platform=tern-6&measure=flare',
    );
    const flaring = [...vehicles].sort((a, b) => b.rate.events - a.rate.events)[0]!;
    const page = await open('/fleet');
    const row = page
      .getByRole('table', { name: 'Flare rate of each car' })
      .getByRole('row')
      .filter({ has: page.getByRole('rowheader', { name: flaring.title }) });
    await row.getByRole('link', { name: `${flaring.rate.events} of` }).click();
    await page.getByText(`${flaring.rate.events}\u00a0shifts with these filters`).waitFor();
    expect(searchOf(page)).toMatchObject({ vehicle: flaring.vehicleId, grade: 'flare' });
    await page.context().close();
  });

  it('gives each plot a table with the same figures', async () => {
    const page = await open('/fleet');
    for (const [section, name] of [
      ['Flare by revision', 'Flare by revision'],
      ['Flare by fluid temperature', 'Flare by fluid temperature, shift and load'],
    ] as const) {
      const part = page.getByRole('region', { name: section });
      const table = part.getByRole('table', { name });
      expect(await table.count()).toBe(0);
      await part.getByText('As a table').click();
      await expect.poll(() => table.getByRole('row').count()).toBeGreaterThan(1);
    }
    await page.context().close();
  });

  it('offers a tester no link that would not be answered', async () => {
    const page = await open('/fleet', { who: 'tester' });
    const links = await page
      .locator('main a[href]')
      .evaluateAll((anchors) => anchors.map((a) => (a as HTMLAnchorElement).href));
    const paths = [...new Set(links)]
      .map((href) => new URL(href))
      .map(({ pathname, search }) => `${pathname}${search}`);
    expect(paths.some((path) => path.startsWith('/shifts'))).toBe(true);
    for (const path of paths) {
      const apiPath = path.replace(/^\/api\/v1/, '').replace(/[?&]quantity=\w+/, '');
      if (apiPath.startsWith('/logs/upload')) continue;
      const isAnswered = await apis.tester.bytes(apiPath).then(
        () => true,
        () => false,
      );
      expect({ path, isAnswered }).toEqual({ path, isAnswered: true });
    }
    await page.context().close();
  });
});

describe('the Shifts page', () => {
  it('counts for each value what a press on it leaves, and keeps the press in the address', async () => {
    const page = await open('/shifts');
    const { grades } = await apis.maintainer.get<ShiftFacetsResponse>('/shifts/facets?kind=2-3');
    const flares = grades.find(({ value }) => value === 'flare')!.shifts;
    await page.getByRole('group', { name: 'Shift', exact: true }).getByRole('button', { name: /^2-3/ }).click();
    const grade = page.getByRole('group', { name: 'Grade' }).getByRole('button', { name: `flare ${flares}` });
    await grade.click();
    await page.getByText(`${flares}\u00a0shift`).first().waitFor();
    expect(searchOf(page)).toEqual({ kind: '2-3', grade: 'flare' });
    expect(await grade.getAttribute('aria-pressed')).toBe('true');
    await page.getByLabel('Load from, %').fill('30');
    await page.waitForURL(/loadMin=30/);
    await page.goBack();
    await page.waitForURL((url) => !url.searchParams.has('loadMin'));
    await grade.click();
    await page.waitForURL((url) => !url.searchParams.has('grade'));
    await page.context().close();
  });

  it('draws the distribution of all shifts that match and says it in words and in a table', async () => {
    const page = await open('/shifts?quantity=inputSpeedRpm');
    const all = await allShifts('sort=newest');
    await page.getByText(`${all.length}\u00a0shifts. Half lie below`).waitFor();
    await page.getByRole('img', { name: /^Histogram of input speed/ }).waitFor();
    await page.getByText('As a table').click();
    const rows = page.getByRole('table', { name: 'Distribution of input speed' }).getByRole('row');
    const counts = await rows.evaluateAll((found) =>
      found.slice(1).map((row) => Number(row.querySelectorAll('td')[1]?.lastElementChild?.textContent)),
    );
    expect(counts.reduce((sum, count) => sum + count, 0)).toBe(all.length);
    await rows.nth(2).getByRole('link').click();
    await page.waitForURL(/inputSpeedMin=/);
    await page.context().close();
  });

  it('leads through every shift once while it holds only what is in sight', async () => {
    const all = await allShifts(`sort=flareRpm&revision=${base}`);
    // More than one page of the server, or nothing would be proved.
    expect(all.length).toBeGreaterThan(250);
    const page = await open(`/shifts?sort=flareRpm&revision=${base}`);
    const list = listOf(page);
    const seen: string[] = [];
    let mostRows = 0;
    let seenAtScroll = 0;
    for (let step = 0; step < 2000 && seen.length < all.length; step++) {
      const rows = await rowsOf(list);
      mostRows = Math.max(mostRows, rows.length);
      for (const { index, shiftId } of rows) if (index === seen.length && shiftId !== null) seen.push(shiftId);
      // On only when the last row that is drawn has been seen, and once from there: what the step before scrolled to may not
      // be drawn yet, and no row is to be scrolled past.
      if (rows.at(-1)?.index === seen.length - 1 && seen.length > seenAtScroll) {
        seenAtScroll = seen.length;
        await list.evaluate((element) => element.scrollBy(0, 0.9 * element.clientHeight));
      }
      await page.waitForTimeout(30);
    }
    expect(seen).toEqual(all.map(({ id }) => id));
    expect(mostRows).toBeLessThan(80);
    await page.getByText(`of ${all.length}`).last().waitFor();
    await page.context().close();
  });

  it('is where it was when “back” leads to it from a drive', async () => {
    const page = await open('/shifts');
    const list = listOf(page);
    for (let step = 0; step < 12; step++) {
      await list.evaluate((element) => element.scrollBy(0, 1200));
      await page.waitForTimeout(150);
    }
    const row = list.getByRole('row').nth(12);
    const index = await row.getAttribute('aria-rowindex');
    expect(Number(index)).toBeGreaterThan(250);
    await row.getByRole('link').first().click();
    await page.waitForURL(/\/logs\//);
    await page.goBack();
    await list.locator(`tr[aria-rowindex="${index}"] a`).first().waitFor();
    await page.context().close();
  });

  it('is walked through by arrow keys, row by row', async () => {
    const page = await open('/shifts');
    await listOf(page).getByRole('row').nth(1).getByRole('link').first().focus();
    for (let step = 0; step < 60; step++) await page.keyboard.press('ArrowDown');
    const focused = () =>
      page.evaluate(() => document.activeElement?.closest('tr')?.getAttribute('aria-rowindex') ?? 'none');
    await expect.poll(focused).toBe('62');
    await page.keyboard.press('ArrowUp');
    await expect.poll(focused).toBe('61');
    await page.context().close();
  });
});

/** What is drawn: place in the list from 0, and the shift, null while it is on its way. */
function rowsOf(list: Locator) {
  return list.locator('tr[data-index]').evaluateAll((rows) =>
    rows.map((row) => ({
      index: Number((row as HTMLElement).dataset.index),
      shiftId: new URL(row.querySelector('a')?.href ?? 'none:').searchParams.get('shift'),
    })),
  );
}

describe('the outcomes of Compare', () => {
  const detail = () =>
    apis.maintainer.get<CompareDetailResponse>(`/compare/outcomes/detail?base=${base}&other=${other}&measure=flare`);

  it('set the difference of each car in a forest, and cars without one below', async () => {
    const { byVehicle, whole } = await detail();
    const matched = byVehicle.filter(({ difference }) => difference !== null);
    const page = await open(`/compare?base=${base}&other=${other}`);
    const forest = page.getByRole('table', { name: 'Difference of each car' });
    if (matched.length === 0) {
      await page.getByText('No car drove the same operating point under both itself.').waitFor();
    } else {
      const pooled = whole.adjusted.kind === 'estimate' ? 1 : 0;
      await expect.poll(() => forest.getByRole('row').count()).toBe(1 + matched.length + pooled);
    }
    const alone = page.getByRole('list', { name: 'Cars without overlap' }).getByRole('listitem');
    await expect.poll(() => alone.count()).toBe(byVehicle.length - matched.length);
    await page.context().close();
  });

  it('say in a plain sentence what may be concluded, of the measure that the address names', async () => {
    const page = await open(`/compare?base=${base}&other=${other}&measure=harsh`);
    await page.getByText('Harsh: what may be concluded.').waitFor();
    await page.getByRole('heading', { level: 2, name: 'Harsh taken apart' }).waitFor();
    await page
      .getByRole('table', { name: 'Outcomes of both revisions' })
      .getByRole('link', { name: 'flare', exact: true })
      .click();
    await page.getByText('Flare: what may be concluded.').waitFor();
    expect(searchOf(page)).toEqual({ base, other, measure: 'flare' });
    await page.context().close();
  });

  it('lead from a car to its shifts under either revision', async () => {
    const { byVehicle } = await detail();
    const car = byVehicle.find(({ baseShifts }) => baseShifts > 0)!;
    const page = await open(`/compare?base=${base}&other=${other}`);
    const counts = `${car.baseEvents} of ${car.baseShifts}`;
    await page
      .getByRole('row')
      .or(page.getByRole('listitem'))
      .filter({ hasText: car.title })
      .getByRole('link', { name: counts, exact: true })
      .first()
      .click();
    await page.getByRole('heading', { level: 1, name: 'Shifts' }).waitFor();
    expect(searchOf(page)).toMatchObject({ revision: base, vehicle: car.vehicleId });
    await page.context().close();
  });
});

describe('a page that opens', () => {
  it('asks for nothing twice, neither before its script is there nor after', async () => {
    const { items: drives } = await apis.maintainer.get<{ items: { id: string }[] }>('/logs?limit=1');
    const { items: cars } = await apis.maintainer.get<{ items: { id: string }[] }>('/vehicles?limit=1');
    const { items: maps } = await apis.maintainer.get<{ items: { id: string }[] }>('/calibrations');
    const paths = [
      '/fleet',
      '/shifts',
      '/logs',
      `/logs/${drives[0]!.id}`,
      `/logs/${drives[0]!.id}/report`,
      '/vehicles',
      `/vehicles/${cars[0]!.id}`,
      `/compare?base=${base}&other=${other}`,
      `/calibrations/${maps[0]!.id}`,
      `/revisions/${base}`,
      '/releases',
    ];
    for (const path of paths) {
      const context = await browser.newContext({ storageState: contexts.maintainer });
      const page = await context.newPage();
      const asked: string[] = [];
      page.on('request', (request) => {
        const { pathname, searchParams } = new URL(request.url());
        searchParams.sort();
        if (pathname.startsWith('/api/')) asked.push(`${pathname}?${searchParams}`);
      });
      await page.goto(`${baseUrl}${path}`);
      await settled(page);
      await page.waitForLoadState('networkidle');
      expect(asked, path).toContain('/api/v1/session?');
      expect({ path, twice: asked.filter((address, i) => asked.indexOf(address) !== i) }).toEqual({ path, twice: [] });
      await context.close();
    }
  });
});

const PAGES = [
  ['maintainer', () => '/fleet'],
  ['maintainer', () => '/fleet?measure=shiftTimeS&fluid=2'],
  ['maintainer', () => '/shifts'],
  ['maintainer', () => '/shifts?kind=3-4&quantity=load&columns=kind,grades,flareRpm,slipEnergyJ'],
  ['maintainer', () => `/compare?base=${base}&other=${other}`],
  ['tester', () => '/fleet'],
  ['tester', () => '/shifts'],
] as const;

describe.each([
  ['light', 1440],
  ['dark', 1440],
  ['light', 390],
  ['dark', 390],
] as const)('in the %s theme, %i px wide', (colorScheme, width) => {
  it('axe finds nothing serious and no page scrolls sideways', async () => {
    for (const [who, pathOf] of PAGES) {
      const page = await open(pathOf(), { who, colorScheme, viewport: { width, height: 900 } });
      for (const summary of await page.locator('main summary').all())
        if (await summary.isVisible()) await summary.click();
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      expect({ path: pathOf(), faults: await seriousViolations(page), isTooWide: overflow > 1 }).toEqual({
        path: pathOf(),
        faults: [],
        isTooWide: false,
      });
      await page.context().close();
    }
  });
});
