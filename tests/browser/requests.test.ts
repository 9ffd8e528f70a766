import type { DriveRequest } from '@syncline/contract';
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

beforeAll(async () => {
  server = await startTestServer();
  ({ baseUrl } = server);
  demo = await seedDemo({ baseUrl, nowMs: Date.now(), showProgress: () => {}, carCount: 3, driveCount: 6 });
  api = new Api(baseUrl);
  await api.post('/session', demo.maintainer);
  browser = await launchBrowser();
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

const signIn = (who: 'maintainer' | 'tester', look: BrowserContextOptions = {}) =>
  openSignedIn(browser, { baseUrl, account: demo[who], look });

const openRequests = async () => (await api.get<{ items: DriveRequest[] }>('/requests?state=open')).items;

it('a maintainer chooses a gap and asks the suggested cars, whose tester finds it at home and declines with a reason', async () => {
  const { context, page } = await signIn('maintainer');
  await page.goto(`${baseUrl}/requests`);
  const gaps = page.getByRole('table', { name: 'Operating points with too little evidence' });
  await gaps
    .getByRole('button', { name: /^Ask for/ })
    .first()
    .click();
  const form = page.getByRole('article', { name: /^Ask for/ });
  await form.getByRole('table', { name: 'Cars to ask' }).waitFor();
  expect(new URL(page.url()).searchParams.get('ask')).toMatch(/^\d-\d\.\d\.\d$/);
  expect(await seriousViolations(page)).toEqual([]);
  await form.getByLabel('Cars wanted').fill('1');
  await form.getByLabel('Shifts wanted, all cars').fill('5');
  await form.getByLabel('What to drive, in words').fill('the hill behind the dunes, gently');
  for (const other of await form.getByRole('checkbox').all()) await other.uncheck();
  const more = form.getByRole('button', { name: /more that/ });
  if (await more.isVisible()) await more.click();
  await form.getByRole('checkbox', { name: /Thrift/ }).check();
  await form.getByText('“The hill behind the dunes, gently, five times.”').waitFor();
  await form.getByRole('button', { name: /^Send to 1/ }).click();
  const list = page.getByRole('table', { name: 'Drive requests' });
  await list.getByText('The hill behind the dunes, gently, five times').waitFor();
  // The form closes once every list of the page has been read anew: the one above may come first.
  await page.waitForURL((url) => !url.searchParams.has('ask'));
  await form.waitFor({ state: 'detached' });
  await context.close();

  const tester = await signIn('tester');
  await tester.page.goto(`${baseUrl}/home`);
  const card = tester.page.getByRole('article', { name: /^The hill behind the dunes/ });
  await card.getByText('0 of 5').first().waitFor();
  await card.getByRole('button', { name: 'Decline' }).click();
  await card.getByLabel(/^Why it cannot be driven/).fill('no such hill here');
  await card.getByRole('button', { name: 'Decline' }).click();
  await card.getByText('declined (“no such hill here”)').waitFor();
  await tester.context.close();
  const asked = (await openRequests()).find(({ words }) => words.startsWith('the hill'));
  expect(asked?.cars).toMatchObject([{ state: 'declined', reason: 'no such hill here' }]);
});

it('a visitor applies without an account, and a maintainer makes the invitation', async () => {
  const visitor = await browser.newContext({ viewport: { width: 390, height: 844 } });
  const form = await visitor.newPage();
  await form.goto(`${baseUrl}/apply`);
  await form.getByLabel('Your name').fill('Sea Holly');
  await form.getByLabel('E-mail address').fill('holly@shore.example');
  await form.getByRole('button', { name: 'Apply' }).click();
  await form.getByText('Please fill this in').first().waitFor();
  await form.getByLabel('Car', { exact: true }).fill('old camper');
  await form.getByLabel('Winters with frost').check();
  await form.getByLabel('I agree to all of this').check();
  await form.getByRole('button', { name: 'Apply' }).click();
  await form.getByText('Thank you, it has arrived').waitFor();
  await visitor.close();

  const { context, page } = await signIn('maintainer');
  await page.goto(`${baseUrl}/recruitment?state=new`);
  const card = page.getByRole('article', { name: 'Sea Holly' });
  await card.getByText('Winters with frost').waitFor();
  await card.getByRole('button', { name: 'Invite' }).click();
  const invited = page.getByRole('article', { name: 'Sea Holly' });
  await page.goto(`${baseUrl}/recruitment?state=invited`);
  await invited.getByText('Invited').waitFor();
  await expect.poll(() => invited.count()).toBe(1);
  await context.close();
});

const PAGES = [
  ['maintainer', '/requests?ask=3-4.5.0&state=all'],
  ['maintainer', '/recruitment?profiles=all'],
  ['tester', '/requests'],
  ['tester', '/home'],
  ['tester', '/apply'],
] as const;

describe.each([
  ['light, 1440 px wide', { colorScheme: 'light' }],
  ['dark, 390 px wide', { colorScheme: 'dark', viewport: { width: 390, height: 844 } }],
] as const)('in the look %s', (_name, look) => {
  it.each(['maintainer', 'tester'] as const)(
    'axe finds nothing serious on the pages of a %s, and none scrolls sideways',
    async (who) => {
      const { context, page } = await signIn(who, look);
      for (const [, path] of PAGES.filter(([whose]) => whose === who)) {
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
