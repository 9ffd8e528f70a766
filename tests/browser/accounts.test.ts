import type { Invitation } from '@syncline/contract';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Api } from '../support/api.ts';
import { launchBrowser, seriousViolations } from '../support/browser.ts';
import { AGREED } from '../support/tern-club.ts';
import { startTestServer, type TestServer } from '../support/test-server.ts';
import { timeCode } from '../support/time-code.ts';

const ERYNGO = { name: 'Eryngo', email: 'eryngo@club.test', password: 'eryngo on the shore' };
const THRIFT = { name: 'Thrift', email: 'thrift@club.test', password: 'thrift on the shore' };
const NEW_PASSWORD = 'thrift in the shingle';

let server: TestServer;
let baseUrl: string;
let browser: Browser;
let maintainer: Api;
/** What the server's clock is ahead of the real one, so that a test need not wait for the next code. */
let aheadMs = 0;
const clock = () => Date.now() + aheadMs;

beforeAll(async () => {
  server = await startTestServer({ clock });
  ({ baseUrl } = server);
  maintainer = new Api(baseUrl);
  await maintainer.post('/setup', { clubName: 'Shore club', ...ERYNGO, ...AGREED });
  browser = await launchBrowser();
}, 120_000);

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

interface Visit {
  readonly context: BrowserContext;
  readonly page: Page;
}

async function open(path: string, width = 1440): Promise<Visit> {
  const context = await browser.newContext({ viewport: { width, height: 1000 } });
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  await page.goto(`${baseUrl}${path}`);
  return { context, page };
}

async function fillSignIn(page: Page, { email, password }: { email: string; password: string }): Promise<void> {
  await page.getByLabel('E-mail address').fill(email);
  await page.getByLabel('Password', { exact: true }).fill(password);
  await page.getByRole('button', { name: 'Sign in', exact: true }).click();
}

async function signedIn(who: { email: string; password: string }, path: string, width?: number): Promise<Visit> {
  const visit = await open(path, width);
  await fillSignIn(visit.page, who);
  await visit.page.waitForURL((url) => !url.pathname.startsWith('/sign-in'));
  return visit;
}

const sectionOf = (page: Page, name: string) => page.getByRole('region', { name });
const fitsWidth = (page: Page) => page.evaluate('document.documentElement.scrollWidth <= window.innerWidth');

it('somebody joins by a link once the terms are agreed to', async () => {
  const { path } = await maintainer.post<Invitation>('/invitations', { role: 'tester' });
  const { context, page } = await open(path);
  await page.getByLabel('Your name').fill(THRIFT.name);
  await page.getByLabel('E-mail address').fill(THRIFT.email);
  await page.getByLabel('Password', { exact: true }).fill(THRIFT.password);
  await page.getByRole('button', { name: 'Join', exact: true }).click();
  await page.getByText('the club cannot take you in without it').waitFor();
  expect(await seriousViolations(page)).toEqual([]);
  await page.getByLabel('I agree to all of this').check();
  await page.getByRole('button', { name: 'Join', exact: true }).click();
  await page.waitForURL(/\/home/);
  await context.close();
}, 180_000);

it('a sign-in that is not known is ended on the account page', async () => {
  const lost = await signedIn(THRIFT, '/account');
  const { context, page } = await signedIn(THRIFT, '/account');
  const rows = page.getByRole('table', { name: 'Your sign-ins' }).getByRole('row');
  await rows.filter({ hasText: '(this one)' }).waitFor();
  await expect.poll(() => rows.filter({ hasText: 'Chromium' }).count()).toBeGreaterThanOrEqual(2);
  expect(await seriousViolations(page)).toEqual([]);
  const ends = page.getByRole('button', { name: /^End the sign-in/ });
  const count = await ends.count();
  for (let left = count; left > 0; left--) {
    await ends.first().click();
    await expect.poll(() => ends.count()).toBe(left - 1);
  }
  await lost.page.reload();
  await lost.page.getByRole('heading', { name: 'Sign in' }).waitFor();
  await Promise.all([context.close(), lost.context.close()]);
}, 180_000);

it('an authenticator app is added, and from then on sign-in asks for its code', async () => {
  const { context, page } = await signedIn(THRIFT, '/account');
  const section = sectionOf(page, 'Second factor');
  await section.getByLabel('Your password').fill(THRIFT.password);
  await section.getByRole('button', { name: 'Add an authenticator app' }).click();
  await section.getByRole('img', { name: /^Picture for the authenticator app/ }).waitFor();
  expect(await seriousViolations(page)).toEqual([]);
  const secret = (await section.locator('code').first().innerText()).replace(/\s/g, '');
  const codeNow = () => timeCode(secret, clock());
  await section.getByLabel('Code of the app').fill(codeNow());
  await section.getByRole('button', { name: 'Confirm' }).click();
  await section.getByText('Keep these recovery codes now').waitFor();
  const recoveryCode = await section.getByRole('listitem').first().innerText();
  await section.getByRole('button', { name: 'I have kept them' }).click();
  await section.getByText(/10.recovery codes left/).waitFor();
  await context.close();

  aheadMs += 30_000;
  const next = await open('/sign-in?to=/account');
  await fillSignIn(next.page, THRIFT);
  const code = next.page.getByLabel('Code');
  await code.waitFor();
  expect(await seriousViolations(next.page)).toEqual([]);
  await code.fill('000000');
  await next.page.getByRole('button', { name: 'Sign in', exact: true }).click();
  await next.page.getByText('This code is wrong, too old or used already').waitFor();
  await code.fill(codeNow());
  await next.page.getByRole('button', { name: 'Sign in', exact: true }).click();
  await next.page.waitForURL(/\/account$/);
  await next.context.close();

  const recovered = await open('/sign-in?to=/account');
  await fillSignIn(recovered.page, THRIFT);
  await recovered.page.getByLabel('Code').fill(recoveryCode);
  await recovered.page.getByRole('button', { name: 'Sign in', exact: true }).click();
  await recovered.page.getByText(/9.recovery codes left/).waitFor();
  await recovered.context.close();
}, 180_000);

it('a maintainer removes a lost second factor and makes a link for a new password, which works once', async () => {
  const { context, page } = await signedIn(ERYNGO, '/people');
  await page.getByRole('button', { name: 'Manage the account of Thrift' }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('button', { name: 'Remove the second factor' }).click();
  await dialog.getByRole('button', { name: 'Remove the second factor' }).waitFor({ state: 'detached' });
  await dialog.getByRole('button', { name: 'Make a link' }).click();
  const address = await dialog.locator('code').innerText();
  expect(await seriousViolations(page)).toEqual([]);
  await context.close();

  const visit = await open(new URL(address).pathname);
  await visit.page.getByText('For Thrift of Shore club').waitFor();
  expect(await seriousViolations(visit.page)).toEqual([]);
  await visit.page.getByLabel('New password').fill(NEW_PASSWORD);
  await visit.page.getByRole('button', { name: 'Change the password' }).click();
  await visit.page.getByRole('link', { name: 'Sign in' }).click();
  await fillSignIn(visit.page, { ...THRIFT, password: NEW_PASSWORD });
  await visit.page.waitForURL(/\/home/);
  await visit.page.goto(address);
  await visit.page.getByText('This link is unknown, used or expired').waitFor();
  await visit.context.close();
}, 180_000);

it('the audit trail is narrowed, shows before and after, says that it is whole, and opens again by its address', async () => {
  await maintainer.put('/recruitment', { isOpen: true, callText: 'Come and drive.' });
  const { context, page } = await signedIn(ERYNGO, '/people');
  const section = sectionOf(page, 'Audit trail');
  await section.getByText('whole').waitFor();
  await section.getByLabel('Action').fill('recruitment');
  await section.getByLabel('Action').press('Enter');
  await page.waitForURL(/action=recruitment/);
  const table = section.getByRole('table', { name: 'Audit trail' });
  await expect.poll(() => table.getByRole('row').count()).toBe(2);
  await table.getByText('Come and drive.').waitFor();
  await expect.poll(() => table.getByText('empty', { exact: true }).count()).toBe(1);
  expect(await seriousViolations(page)).toEqual([]);
  await page.reload();
  await table.getByText('Come and drive.').waitFor();
  await context.close();

  const narrow = await signedIn(ERYNGO, '/people', 390);
  await sectionOf(narrow.page, 'Audit trail').getByText('whole').waitFor();
  expect(await fitsWidth(narrow.page)).toBe(true);
  await narrow.page.goto(`${baseUrl}/account`);
  await narrow.page.getByRole('heading', { name: 'Second factor' }).waitFor();
  expect(await fitsWidth(narrow.page)).toBe(true);
  await narrow.context.close();
}, 180_000);

it('a member who has not agreed to the terms in force reads them before anything else', async () => {
  const thrift = server.store.read.people.findByEmail(THRIFT.email);
  const actor = { kind: 'system', id: null, name: 'test', requestId: 'test' } as const;
  server.store.people.consent({ actor, personId: thrift?.id ?? '', version: 0 });
  const { context, page } = await signedIn({ ...THRIFT, password: NEW_PASSWORD }, '/home');
  await page.getByRole('heading', { name: 'The terms have changed' }).waitFor();
  expect(await seriousViolations(page)).toEqual([]);
  await page.getByLabel('I agree to all of this').check();
  await page.getByRole('button', { name: 'Go on' }).click();
  await page.getByRole('heading', { name: 'The terms have changed' }).waitFor({ state: 'detached' });
  expect(new URL(page.url()).pathname).toBe('/home');
  await context.close();
}, 180_000);
