import { join } from 'node:path';
import type { LogSummary, UploadsResponse } from '@syncline/contract';
import type { Browser, BrowserContext, Locator, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { launchBrowser, seriousViolations } from '../support/browser.ts';
import { foundTernClub, MAINTAINER, TESTER, type TernClub } from '../support/tern-club.ts';
import { startTestServer, type TestServer } from '../support/test-server.ts';
import { writeBigDrive } from '../uploads/big-drive.ts';
import { type CuttingProxy, startCuttingProxy } from '../uploads/cutting-proxy.ts';

const MIB = 1024 ** 2;
/** Slow enough that a person could press a button in the middle of a file. */
const SLOW_PAUSE_MS = 8;

let server: TestServer;
let proxy: CuttingProxy;
let club: TernClub;
let browser: Browser;
let context: BrowserContext;
let page: Page;

beforeAll(async () => {
  server = await startTestServer();
  proxy = await startCuttingProxy(server.baseUrl);
  club = await foundTernClub(server.baseUrl);
  browser = await launchBrowser();
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await proxy?.close();
  await server?.close();
});

beforeEach(async () => {
  proxy.pauseMs = 0;
  context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  page = await signedIn(TESTER);
});
afterEach(() => context?.close());

async function signedIn(account: { email: string; password: string }): Promise<Page> {
  const opened = await context.newPage();
  opened.setDefaultTimeout(30_000);
  // Leaving while a file is under way is asked about; here the answer is yes.
  opened.on('dialog', (dialog) => void dialog.accept());
  await opened.goto(proxy.baseUrl);
  await opened.getByLabel('E-mail address').fill(account.email);
  await opened.getByLabel('Password', { exact: true }).fill(account.password);
  await opened.getByRole('button', { name: 'Sign in' }).click();
  await opened.getByRole('button', { name: 'Sign in' }).waitFor({ state: 'detached' });
  return opened;
}

let driveCount = 0;
async function aDrive(name: string, sizeBytes: number): Promise<string> {
  const path = join(server.folder, name);
  await writeBigDrive(path, sizeBytes, ++driveCount);
  return path;
}

async function openUploadPage(): Promise<void> {
  await page.goto(`${proxy.baseUrl}/logs/upload?vehicle=${club.vehicleId}`);
  await page.getByText('Drop drive logs here, or choose them').waitFor();
}

async function choose(...paths: string[]): Promise<void> {
  await page.getByLabel('Drive logs to upload').setInputFiles(paths);
  await page.getByRole('button', { name: /^Upload \d/ }).click();
}

const rowOf = (fileName: string, table = 'This upload'): Locator =>
  page.getByRole('table', { name: table }).getByRole('row').filter({ hasText: fileName });

async function logsNamed(fileName: string): Promise<LogSummary[]> {
  const { items } = await club.tester.get<{ items: LogSummary[] }>('/logs?limit=200');
  return items.filter((log) => log.fileName === fileName);
}

async function receivedBytes(fileName: string): Promise<number> {
  const { items } = await club.tester.get<UploadsResponse>('/uploads');
  return items.find((upload) => upload.fileName === fileName)?.receivedBytes ?? 0;
}

async function untilReceived(fileName: string, bytes: number): Promise<void> {
  while ((await receivedBytes(fileName)) < bytes) await page.waitForTimeout(50);
}

/** Waits until what was on its way has arrived and nothing moves any more; gives what has come. */
async function untilStill(fileName: string): Promise<number> {
  for (;;) {
    const before = await receivedBytes(fileName);
    await page.waitForTimeout(500);
    if ((await receivedBytes(fileName)) === before) return before;
  }
}

async function allSent(): Promise<void> {
  await page.getByText('All sent: you may close this tab.').waitFor({ timeout: 90_000 });
}

/** Ends the page in the middle of an upload, with all that was on its way, and opens it again on a quick link. */
async function leaveAndReturn(): Promise<void> {
  await page.goto('about:blank');
  proxy.cutAll();
  proxy.pauseMs = 0;
  await openUploadPage();
}

async function isTooWide(): Promise<boolean> {
  return page.evaluate(() => document.documentElement.scrollWidth > window.innerWidth + 1);
}

describe('an upload in the page', () => {
  it('is paused and goes on, lives through a broken link, and is one log', async () => {
    const path = await aDrive('long-drive.csv', 24 * MIB);
    await openUploadPage();
    proxy.pauseMs = SLOW_PAUSE_MS;
    await choose(path);
    await rowOf('long-drive.csv')
      .getByText(/^Sending/)
      .waitFor();
    await untilReceived('long-drive.csv', MIB);
    await page.getByRole('button', { name: 'Pause long-drive.csv' }).click();
    await rowOf('long-drive.csv')
      .getByText(/^Paused after/)
      .waitFor();
    const settled = await untilStill('long-drive.csv');
    expect(settled).toBeLessThan(24 * MIB);
    expect(await seriousViolations(page)).toEqual([]);

    await page.getByRole('button', { name: 'Go on with all' }).click();
    await untilReceived('long-drive.csv', settled + MIB);
    proxy.cutAll();
    proxy.pauseMs = 0;
    await allSent();
    expect(await logsNamed('long-drive.csv')).toHaveLength(1);
  });

  it('is found again after a reload, and goes on with the same file and no other', async () => {
    const path = await aDrive('interrupted.csv', 24 * MIB);
    const other = await aDrive('another.csv', 1000);
    await openUploadPage();
    proxy.pauseMs = SLOW_PAUSE_MS;
    await choose(path);
    // The first piece is whole by now and stays, whatever was on its way.
    await untilReceived('interrupted.csv', 9 * MIB);
    await leaveAndReturn();
    const row = rowOf('interrupted.csv', 'Unfinished uploads');
    await row.getByText(/of 25\sMB/).waitFor();
    expect(await seriousViolations(page)).toEqual([]);

    const chooseAgain = page.getByRole('button', { name: 'Choose the file again to go on with interrupted.csv' });
    const chooser = async (file: string) => {
      const [dialog] = await Promise.all([page.waitForEvent('filechooser'), chooseAgain.click()]);
      await dialog.setFiles(file);
    };
    await chooser(other);
    await row.getByText(/This is another file: its name is another\.csv/).waitFor();

    const passedBefore = proxy.passedBytes;
    await chooser(path);
    await allSent();
    expect(proxy.passedBytes - passedBefore).toBeLessThan(17 * MIB);
    expect(await logsNamed('interrupted.csv')).toHaveLength(1);
    await page.getByRole('table', { name: 'Unfinished uploads' }).waitFor({ state: 'detached' });
  });

  it('goes on as well when the file is dropped among others, each with its own progress', async () => {
    const [begun, fresh] = [await aDrive('begun.csv', 24 * MIB), await aDrive('fresh.csv', 2 * MIB)];
    await openUploadPage();
    proxy.pauseMs = SLOW_PAUSE_MS;
    await choose(begun);
    await untilReceived('begun.csv', 9 * MIB);
    await leaveAndReturn();
    await page.getByLabel('Drive logs to upload').setInputFiles([begun, fresh]);
    await rowOf('begun.csv', 'Files to upload')
      .getByText(/Begun before: goes on after/)
      .waitFor();
    await page.getByRole('button', { name: /^Upload 2/ }).click();
    await allSent();
    expect([await logsNamed('begun.csv'), await logsNamed('fresh.csv')].map((logs) => logs.length)).toEqual([1, 1]);
  });

  it('of a file that is there already is told before a byte of it is sent', async () => {
    const path = await aDrive('twice.csv', 4 * MIB);
    await openUploadPage();
    await choose(path);
    await allSent();
    await page.reload();
    const passedBefore = proxy.passedBytes;
    await choose(path);
    await rowOf('twice.csv').getByText('These bytes were here already, so they count once:').waitFor();
    expect(proxy.passedBytes - passedBefore).toBeLessThan(MIB);
  });

  it('may be dropped onto the page', async () => {
    await openUploadPage();
    const text = `time (s),input speed (rpm)\n0,${++driveCount}\n`;
    const data = await page.evaluateHandle((content) => {
      const transfer = new DataTransfer();
      transfer.items.add(new File([content], 'dropped.csv', { type: 'text/csv' }));
      return transfer;
    }, text);
    const zone = page.getByText('Drop drive logs here, or choose them');
    await zone.dispatchEvent('drop', { dataTransfer: data });
    await page.getByRole('button', { name: /^Upload 1/ }).click();
    await allSent();
    expect(await logsNamed('dropped.csv')).toHaveLength(1);
  });

  it('fits a phone, long names and all', async () => {
    await page.setViewportSize({ width: 390, height: 844 });
    const name = `${'a-drive-with-a-very-long-name-'.repeat(5)}.csv`;
    const path = await aDrive(name, 24 * MIB);
    await openUploadPage();
    await page.getByLabel('Drive logs to upload').setInputFiles([path]);
    await page.getByRole('button', { name: /^Upload 1/ }).waitFor();
    expect(await isTooWide()).toBe(false);
    proxy.pauseMs = SLOW_PAUSE_MS;
    await page.getByRole('button', { name: /^Upload 1/ }).click();
    await untilReceived(name, MIB);
    expect(await isTooWide()).toBe(false);
    await leaveAndReturn();
    await page.getByRole('table', { name: 'Unfinished uploads' }).waitFor();
    expect(await isTooWide()).toBe(false);
    await page.getByRole('button', { name: `Discard ${name}` }).click();
    await rowOf(name, 'Unfinished uploads').waitFor({ state: 'detached' });
    expect((await club.tester.get<UploadsResponse>('/uploads')).room.pendingBytes).toBe(0);
  });
});

describe.each(['light', 'dark'] as const)('the account page in the %s theme', (colorScheme) => {
  it('makes a token that is shown once and works until it is revoked', async () => {
    await page.emulateMedia({ colorScheme });
    await page.getByRole('button', { name: 'Thrift' }).click();
    await page.getByRole('link', { name: 'Account and sign-ins' }).click();
    await page.getByRole('heading', { level: 1, name: 'Account' }).waitFor();
    await page.getByRole('button', { name: 'Make a token' }).click();
    await page.getByText('Please fill this in').waitFor();
    await page.getByLabel('Program').fill('box in the van');
    await page.getByRole('button', { name: 'Make a token' }).click();
    const shown = page.getByRole('status').filter({ hasText: 'it is not shown again' });
    const secret = (await shown.locator('code').textContent()) ?? '';
    expect(await seriousViolations(page)).toEqual([]);
    expect(await asks(secret)).toBe(200);
    await page.setViewportSize({ width: 390, height: 844 });
    expect(await isTooWide()).toBe(false);

    await page.reload();
    await page.getByRole('table', { name: 'Your tokens' }).getByText('box in the van').waitFor();
    expect(await page.content()).not.toContain(secret);
    await page.getByRole('button', { name: 'Revoke box in the van' }).click();
    await page.getByText('You have no tokens.').waitFor();
    expect(await asks(secret)).toBe(401);
  });
});

/** Status of a question that a program with this token asks. */
async function asks(secret: string): Promise<number> {
  const headers = { authorization: `Bearer ${secret}` };
  return (await fetch(`${proxy.baseUrl}/api/v1/vehicles`, { headers })).status;
}

describe('the people page of a maintainer', () => {
  it('lists the tokens of everybody and cuts one off', async () => {
    const body = { name: 'lost laptop', scopes: ['all'], days: 30 };
    const { secret } = await club.tester.post<{ secret: string }>('/tokens', body);
    await context.clearCookies();
    page = await signedIn(MAINTAINER);
    await page.goto(`${proxy.baseUrl}/people`);
    const row = rowOf('lost laptop', 'Tokens of the club');
    await row.getByText('Thrift').waitFor();
    expect(await seriousViolations(page)).toEqual([]);
    await row.getByRole('button', { name: 'Revoke lost laptop of Thrift' }).click();
    await row.waitFor({ state: 'detached' });
    expect(await asks(secret)).toBe(401);
  });
});
