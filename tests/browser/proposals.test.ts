import type { ProposalResponse, ProposalsResponse } from '@syncline/contract';
import { type SeededDemo, seedDemo } from '@syncline/server';
import type { Browser, BrowserContextOptions } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Api } from '../support/api.ts';
import { launchBrowser, openSignedIn, seriousViolations } from '../support/browser.ts';
import { startTestServer, type TestServer } from '../support/test-server.ts';

let server: TestServer;
let baseUrl: string;
let demo: SeededDemo;
let browser: Browser;
let api: Api;
let calibrationId: string;
let baseRevisionId: string;

beforeAll(async () => {
  server = await startTestServer();
  ({ baseUrl } = server);
  demo = await seedDemo({ baseUrl, nowMs: Date.now(), showProgress: () => {}, carCount: 4, driveCount: 12 });
  api = new Api(baseUrl);
  await api.post('/session', demo.maintainer);
  calibrationId = (await api.get<{ items: { id: string }[] }>('/calibrations')).items[0]!.id;
  const { items } = await api.get<ProposalsResponse>(`/calibrations/${calibrationId}/proposals`);
  baseRevisionId = items[0]!.baseRevisionId;
  browser = await launchBrowser();
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

const signIn = (who: 'maintainer' | 'tester', look: BrowserContextOptions = {}) =>
  openSignedIn(browser, { baseUrl, account: demo[who], look });

/** Few cars and drives may speak. */
const LENIENT = { minShifts: 2, minVehicles: 1, maxSdLn: 0.5, leastSignal: 0 };

/** A proposal that changes something, by a policy that is another each time. */
async function aProposal(maxStep: number): Promise<ProposalResponse> {
  const wish = { baseRevisionId, policy: { ...LENIENT, maxStep } };
  const { id } = await api.post<ProposalResponse>(`/calibrations/${calibrationId}/proposals`, wish);
  await server.jobs.idle();
  return api.get<ProposalResponse>(`/proposals/${id}`);
}

it('a maintainer asks for a proposal, reads a cell, leaves one out, and takes the rest into a draft that says so', async () => {
  const { context, page } = await signIn('maintainer');
  await page.goto(`${baseUrl}/calibrations/${calibrationId}`);
  await page.getByRole('button', { name: 'Propose from drives' }).click();
  const dialog = page.getByRole('dialog', { name: 'Propose from drives' });
  await dialog.getByLabel('Least shifts behind a value').fill('2');
  await dialog.getByLabel('Least cars behind it').fill('1');
  await dialog.getByLabel('Highest standard deviation (%)').fill('40');
  await dialog.getByLabel('Least correction (standard deviations)').fill('0');
  await dialog.getByRole('button', { name: 'Propose' }).click();
  const take = page.getByRole('button', { name: 'Take all into a draft' });
  await take.waitFor();
  const proposalUrl = page.url().replace(/\?.*/, '');

  const readout = page.getByRole('complementary', { name: /^Chosen cell/ });
  await readout.getByText(/The drives say it should be .* with 95 % probability between/).waitFor();
  const grid = page.getByRole('grid');
  await grid.locator('[aria-selected="true"]').focus();
  await page.keyboard.press('Enter');
  const part = page.getByRole('button', { name: /^Take \d+ of \d+ into a draft$/ });
  await part.waitFor();
  expect(await readout.getByLabel('Take this cell into the draft').isChecked()).toBe(false);
  await page.getByText('Reason', { exact: true }).click();
  await page.waitForURL(/show=reason/);

  await part.click();
  const form = page.getByRole('dialog', { name: 'Take into a draft' });
  await form.getByLabel('Line').fill('from-drives');
  await form.getByRole('button', { name: 'Begin the draft' }).click();
  await page.waitForURL(/\/drafts\//);
  await page.getByText(/made from a proposal \(\d+ of \d+ changes proposed on/).waitFor();
  await page.getByRole('link', { name: /^proposal “Apply pressure for r/ }).click();
  await page.waitForURL((url) => url.href.startsWith(proposalUrl));
  await page.getByText(/changes? taken by Eryngo/).waitFor();
  await context.close();
});

it('a rejected proposal says why and offers no draft', async () => {
  const { id } = await aProposal(0.043);
  const { context, page } = await signIn('maintainer');
  await page.goto(`${baseUrl}/proposals/${id}`);
  await page.getByRole('button', { name: 'Reject' }).click();
  const dialog = page.getByRole('dialog', { name: 'Reject the proposal' });
  await dialog.getByLabel('Why').fill('too few cold drives');
  await dialog.getByRole('button', { name: 'Reject' }).click();
  // The reason is written in the dialog as well, until it has gone.
  await dialog.waitFor({ state: 'detached' });
  await page.getByText('too few cold drives').waitFor();
  await expect.poll(() => page.getByRole('button', { name: /into a draft$/ }).count()).toBe(0);
  await context.close();
});

it('a tester reads the trims of her own car, and no proposal', async () => {
  const { id, evidence } = await aProposal(0.044);
  const { context, page } = await signIn('tester');
  const own = new Api(baseUrl);
  await own.post('/session', demo.tester);
  const { items } = await own.get<{ items: { id: string }[] }>('/vehicles');
  const car = items.find((entry) => evidence.some(({ vehicleId }) => vehicleId === entry.id));
  expect(car).toBeDefined();
  await page.goto(`${baseUrl}/vehicles/${car?.id}`);
  await page.getByRole('table', { name: 'Trims by shift' }).waitFor();
  await page.getByText('A trim mends no fault').waitFor();
  await expect.poll(() => page.getByRole('link', { name: 'the estimate' }).count()).toBe(0);
  const refused = await context.request.get(`${baseUrl}/api/v1/proposals/${id}`);
  expect(refused.status()).toBe(403);
  await context.close();
});

it.each([
  ['light, 1440 px wide', { colorScheme: 'light' }],
  ['dark, 390 px wide', { colorScheme: 'dark', viewport: { width: 390, height: 844 } }],
] as const)(
  'axe finds nothing serious on the Proposal page, and it does not scroll sideways: %s',
  async (_name, look) => {
    const { id } = await aProposal(0.045);
    const { context, page } = await signIn('maintainer', look);
    for (const path of [`/proposals/${id}`, `/proposals/${id}?show=uncertainty`, `/proposals/${id}?show=reason`]) {
      await page.goto(`${baseUrl}${path}`, { waitUntil: 'networkidle' });
      await page.getByRole('grid').waitFor();
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
