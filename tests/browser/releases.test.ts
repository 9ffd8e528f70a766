import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import type { ReleaseResponse, ReleaseSummary, VehicleSummary } from '@syncline/contract';
import { type SeededDemo, seedDemo } from '@syncline/server';
import type { Browser, BrowserContextOptions } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Api } from '../support/api.ts';
import { launchBrowser, openSignedIn, seriousViolations } from '../support/browser.ts';
import { startTestServer, type TestServer } from '../support/test-server.ts';

let server: TestServer;
let baseUrl: string;
let demo: SeededDemo;
let browser: Browser;
let api: Api;
let car: VehicleSummary;

beforeAll(async () => {
  // `WEB_FOLDER` tries pages that were built elsewhere.
  server = await startTestServer({ webFolder: process.env.WEB_FOLDER });
  ({ baseUrl } = server);
  demo = await seedDemo({ baseUrl, nowMs: Date.now(), showProgress: () => {}, carCount: 3, driveCount: 6 });
  api = new Api(baseUrl);
  await api.post('/session', demo.maintainer);
  // The release of the demo would be another answer to the same car.
  const [ofDemo] = (await api.get<{ items: ReleaseSummary[] }>('/releases')).items;
  await api.post(`/releases/${ofDemo?.id}/acts`, { act: 'recall', reason: 'replaced by another test' });
  const tester = new Api(baseUrl);
  await tester.post('/session', demo.tester);
  const [own] = (await tester.get<{ items: VehicleSummary[] }>('/vehicles')).items;
  if (own === undefined) throw new Error('the tester of the demo has no car');
  car = own;
  const oldest = (await api.get<ReleaseResponse>(`/releases/${ofDemo?.id}`)).replacesId;
  await tester.post(`/vehicles/${car.id}/installations`, { revisionId: oldest });
  browser = await launchBrowser();
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

const signIn = (who: 'maintainer' | 'tester', look: BrowserContextOptions = {}) =>
  openSignedIn(browser, { baseUrl, account: demo[who], look });

it('a maintainer releases to a cohort, the tester downloads and confirms, and reads what to do on hold and recall', async () => {
  const { context, page } = await signIn('maintainer');
  await page.goto(`${baseUrl}/releases/new`);
  await page.getByRole('combobox', { name: 'Approved revision' }).click();
  await page.getByRole('option').first().click();
  await page.getByLabel('What changed, in words').fill('Third gear comes in softer. Tell us when it slips.');
  await page.getByText(/cars? of 3 on this gearbox would be in it/).waitFor();
  // One stage with everybody is left.
  for (let i = 0; i < 3; i++) await page.getByRole('button', { name: 'Remove stage 1' }).click();
  expect(await seriousViolations(page)).toEqual([]);
  await page.getByRole('button', { name: 'Draft the release' }).click();
  await page.getByRole('button', { name: 'Start' }).click();
  await page.getByRole('dialog').getByRole('button', { name: 'Start' }).click();
  await page.getByText('Running').first().waitFor();
  const address = page.url();
  const cars = page.getByRole('table', { name: 'Cars of the release' });
  await cars.getByRole('row').filter({ hasText: car.title }).getByText('stage 1').waitFor();

  const tester = await signIn('tester');
  await tester.page.goto(`${baseUrl}/home`);
  const offer = tester.page.getByRole('group', { name: `What ${car.title} is offered` });
  await offer.getByText('Third gear comes in softer').waitFor();
  await offer.getByText(/qualified workshop come first/).waitFor();
  const [download] = await Promise.all([
    tester.page.waitForEvent('download'),
    offer.getByRole('button', { name: /^Download/ }).click(),
  ]);
  const sha256 = createHash('sha256')
    .update(readFileSync(await download.path()))
    .digest('hex');
  await offer.getByText(sha256).waitFor();
  await offer.getByLabel('Note (optional)').fill('on the bench');
  await offer.getByRole('button', { name: 'I installed it' }).click();
  await offer.waitFor({ state: 'detached' });

  await page.goto(address);
  const row = cars.getByRole('row').filter({ hasText: car.title });
  await row.getByText('Installed').waitFor();
  await row.getByText('on the bench').waitFor();
  await page.getByRole('table', { name: 'Downloads' }).getByText(sha256.slice(0, 12)).waitFor();

  await page.getByRole('button', { name: 'Hold' }).click();
  await page.getByRole('dialog').getByLabel('Why it is held').fill('one car slips in third');
  await page.getByRole('dialog').getByRole('button', { name: 'Hold' }).click();
  await page.getByText('Held', { exact: true }).first().waitFor();
  await tester.page.reload();
  await offer.getByText('one car slips in third').waitFor();

  await page.getByRole('button', { name: 'Recall' }).click();
  await page.getByRole('dialog').getByLabel('Why it is recalled').fill('third gear slips when hot');
  await page.getByRole('dialog').getByRole('button', { name: 'Recall' }).click();
  await page.getByText('Recalled', { exact: true }).first().waitFor();
  await tester.page.reload();
  await offer.getByText(/was recalled: take it out of/).waitFor();
  await offer.getByText('third gear slips when hot').waitFor();
  await offer.getByText(/Go back to Tern shore r/).waitFor();
  await offer.getByRole('button', { name: 'I installed it' }).click();
  await offer.waitFor({ state: 'detached' });
  await tester.context.close();
  await context.close();
});

it('a maintainer finds the people of a faulty firmware and recalls their units, which the tester reads at home', async () => {
  const { context, page } = await signIn('maintainer');
  await page.goto(`${baseUrl}/control-units?firmware=2.1`);
  await page.getByRole('table', { name: 'Affected units' }).getByText('CU-0007').waitFor();
  await page.getByRole('button', { name: 'Recall these' }).click();
  await page.getByLabel('What they are told').fill('The driver of solenoid C may stick. Send the unit back.');
  await page.getByRole('dialog').getByRole('button', { name: 'Recall' }).click();
  await page.getByRole('table', { name: 'Recalls' }).getByText('solenoid C may stick').waitFor();
  expect(new URL(page.url()).searchParams.get('firmware')).toBe('2.1');
  await context.close();
  const tester = await signIn('tester');
  await tester.page.goto(`${baseUrl}/home`);
  await tester.page.getByText('The control unit of this car is recalled').waitFor();
  await tester.context.close();
});

describe.each([
  ['light, 1440 px wide', { colorScheme: 'light' }],
  ['dark, 390 px wide', { colorScheme: 'dark', viewport: { width: 390, height: 844 } }],
] as const)('in the look %s', (_name, look) => {
  it.each(['maintainer', 'tester'] as const)(
    'axe finds nothing serious on the pages of a %s, and none scrolls sideways',
    async (who) => {
      const { items } = await api.get<{ items: ReleaseSummary[] }>('/releases');
      const paths =
        who === 'tester'
          ? ['/home', '/control-units', `/vehicles/${car.id}`]
          : [
              '/releases',
              `/releases/${items[0]?.id}`,
              `/releases/new?revision=${items[0]?.revisionId}`,
              '/control-units?firmware=2.1',
            ];
      const { context, page } = await signIn(who, look);
      for (const path of paths) {
        await page.goto(`${baseUrl}${path}`, { waitUntil: 'networkidle' });
        await page.getByRole('heading', { level: 1 }).waitFor();
        const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
        expect({ path, faults: await seriousViolations(page), isTooWide: overflow > 1 }).toEqual({
          path,
          faults: [],
          isTooWide: false,
        });
      }
      await context.close();
    },
  );
});
