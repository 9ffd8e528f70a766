import { readFileSync } from 'node:fs';
import type { CalibrationResponse, DraftResponse, RevisionResponse } from '@syncline/contract';
import { TERN_LAYOUT, TERN_PLATFORM, ternCalibration } from '@syncline/drivetrain';
import type { Browser, BrowserContext, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Api } from '../support/api.ts';
import { launchBrowser, openSignedIn, seriousViolations } from '../support/browser.ts';
import { AGREED, joinClub } from '../support/tern-club.ts';
import { startTestServer, type TestServer } from '../support/test-server.ts';

const ERYNGO = { name: 'Eryngo', email: 'eryngo@club.test', password: 'eryngo on the shore' };
const THRIFT = { name: 'Thrift', email: 'thrift@club.test', password: 'thrift on the shore' };
const SAMPHIRE = { name: 'Samphire', email: 'samphire@club.test', password: 'samphire on the shore' };
type Person = typeof ERYNGO;

/** The table that is edited: pressure (kPa) over seven loads and five input speeds. */
const TABLE = 'basePressure';
const VARIANT = '2-3';

let server: TestServer;
let baseUrl: string;
let browser: Browser;
let api: Api;
let calibrationId: string;
let otherCalibrationId: string;
let firstRevisionId: string;

beforeAll(async () => {
  server = await startTestServer();
  ({ baseUrl } = server);
  api = new Api(baseUrl);
  await api.post('/setup', { clubName: 'Shore club', ...ERYNGO, ...AGREED });
  await joinClub(api, 'maintainer', THRIFT);
  await joinClub(api, 'reviewer', SAMPHIRE);
  await foundCalibrations();
  browser = await launchBrowser();
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

/** A gearbox with two versions of its layout, a calibration of two lines, and one without a revision. */
async function foundCalibrations(): Promise<void> {
  await api.post('/platforms', TERN_PLATFORM);
  await api.post(`/platforms/${TERN_PLATFORM.id}/layouts`, TERN_LAYOUT);
  await api.post(`/platforms/${TERN_PLATFORM.id}/layouts`, { ...TERN_LAYOUT, version: TERN_LAYOUT.version + 1 });
  const make = (title: string) => api.post<{ id: string }>('/calibrations', { title, platformId: TERN_PLATFORM.id });
  calibrationId = (await make('Tern base')).id;
  otherCalibrationId = (await make('Tern elsewhere')).id;
  const revise = (body: object) => api.post<{ id: string }>(`/calibrations/${calibrationId}/revisions`, body);
  const content = ternCalibration('r1');
  firstRevisionId = (await revise({ parentId: null, message: 'First map', content })).id;
  const winter = structuredClone(content) as unknown as {
    tables: Record<string, { values: Record<string, number[]> }>;
  };
  winter.tables[TABLE]!.values[VARIANT]![0]! -= 10;
  await revise({ parentId: firstRevisionId, line: 'winter', message: 'Softer when cold', content: winter });
}

async function signIn(account: Person, look: BrowserContextOptions = {}): Promise<Page> {
  const { context, page } = await openSignedIn(browser, { baseUrl, account, look });
  await context.grantPermissions(['clipboard-read', 'clipboard-write'], { origin: baseUrl });
  return page;
}

/** The active cell as a screen reader hears it. */
async function activeCell(page: Page): Promise<string> {
  const id = await page.getByRole('grid').getAttribute('aria-activedescendant');
  return (await page.locator(`#${id}`).getAttribute('aria-label')) ?? '';
}

/** What a person does at the keyboard, one key after the other; words of several letters are keys of their own. */
async function press(page: Page, ...keys: string[]): Promise<void> {
  for (const key of keys) await page.keyboard.press(key);
}

async function paste(page: Page, rows: readonly (readonly number[])[]): Promise<void> {
  await page.evaluate((text) => navigator.clipboard.writeText(text), rows.map((row) => row.join('\t')).join('\n'));
  await page.keyboard.press('Control+v');
}

/** Waits until the server has what the page shows: it is saved by itself a second after the last change. */
async function saved(draftId: string, isThere: (draft: DraftResponse) => boolean): Promise<DraftResponse> {
  let draft = await api.get<DraftResponse>(`/drafts/${draftId}`);
  await expect
    .poll(
      async () => {
        draft = await api.get<DraftResponse>(`/drafts/${draftId}`);
        return isThere(draft);
      },
      { timeout: 30_000 },
    )
    .toBe(true);
  return draft;
}

/** A draft from the first revision, on a line of its own. */
async function newDraft(title: string): Promise<DraftResponse> {
  return api.post<DraftResponse>(`/calibrations/${calibrationId}/drafts`, {
    title,
    parentId: firstRevisionId,
    line: 'trial',
  });
}

function valuesOf({ content }: Pick<DraftResponse, 'content'>): number[] {
  return content.tables[TABLE]!.values[VARIANT]!;
}

function draftPath(draftId: string, place = ''): string {
  return `${baseUrl}/drafts/${draftId}?table=${TABLE}&variant=${VARIANT}${place}`;
}

describe('a change on its way from a revision to the next', () => {
  it('is made at the keyboard, checked, frozen, approved by another person, and arrives elsewhere with the same hash', async () => {
    const page = await signIn(ERYNGO);
    await page.goto(`${baseUrl}/calibrations/${calibrationId}`);
    await page.getByRole('button', { name: 'Begin from r1' }).click();
    await page.getByRole('menuitem', { name: 'New draft from r1' }).click();
    await page.getByLabel('Title').fill('Firmer 2-3');
    await page.getByRole('button', { name: 'Begin the draft' }).click();
    await page.getByRole('heading', { level: 1, name: 'Firmer 2-3' }).waitFor();
    const draftId = /drafts\/([^?]+)/.exec(page.url())?.[1] ?? '';
    const before = valuesOf(await api.get<DraftResponse>(`/drafts/${draftId}`));
    const columns = 5;

    // A range, an amount: the cells of the last row are pressed harder.
    await page.goto(draftPath(draftId, '&row=6&column=0'));
    await page.getByRole('grid').focus();
    expect(await activeCell(page)).toBe(`Load 100 %, Input speed 1000 rpm; ${before[6 * columns]}\u202fkPa`);
    await press(page, 'Shift+ArrowRight', '+', '4', '0', 'Enter');
    expect(await activeCell(page)).toContain(
      `${before[6 * columns + 1]! + 40}\u202fkPa; +40\u202fkPa against the parent`,
    );

    // A block that does not fit is refused and nothing changes; one that fits is laid over the cells.
    await press(page, 'ArrowRight', 'End');
    await paste(page, [[1, 2]]);
    await page.getByRole('alert').filter({ hasText: 'runs over the edge' }).waitFor();
    const block = [6, 7].map((step) => [2, 3].map((column) => before[6 * columns + column]! + step));
    await press(page, 'Home', 'ArrowRight', 'ArrowRight', 'ArrowUp');
    await paste(page, block);
    const pasted = valuesOf(await saved(draftId, (draft) => valuesOf(draft)[33] !== before[33]));
    expect([32, 33, 27, 28].map((at) => pasted[at])).toEqual([block[1]![0], block[1]![1], block[0]![0], block[0]![1]]);

    // Beyond the limit: said while it is typed, marked when it is taken, and it keeps the revision from being made.
    await press(page, 'Control+Home', '5', '0', '0', '0');
    await page.getByText('Blocks: allowed 60 to 1400').waitFor();
    await press(page, 'Enter');
    await page.getByRole('button', { name: 'Make revision' }).click();
    const refusal = page.getByRole('dialog', { name: 'This draft cannot be made into a revision yet' });
    await refusal.getByRole('button', { name: 'Base pressure 2-3 (1, 1)' }).first().click();
    await refusal.waitFor({ state: 'hidden' });
    expect(await activeCell(page)).toContain('expected at most 1400 kPa');
    await press(page, 'Control+z');
    await page.getByText('Nothing found in', { exact: false }).waitFor();

    await page.getByRole('button', { name: 'Make revision' }).click();
    await page.getByLabel('Message').fill('Firmer above 80 % load');
    await page.getByRole('button', { name: 'Make the revision' }).click();
    await page.getByRole('heading', { level: 1, name: /Tern base r3/ }).waitFor();
    const revisionId = /revisions\/([^?]+)/.exec(page.url())?.[1] ?? '';
    await page.getByLabel('Ask for a review').fill('Look at the last row');
    await page.getByRole('button', { name: 'Request a review' }).click();
    await page.getByText('You asked for this review: somebody else decides', { exact: false }).waitFor();

    const reviewer = await signIn(SAMPHIRE);
    await reviewer.goto(baseUrl);
    await reviewer.getByRole('link', { name: 'Reviews 1 waiting for you' }).click();
    await reviewer.getByRole('link', { name: 'Tern base r3' }).click();
    await reviewer.goto(`${baseUrl}/revisions/${revisionId}?table=${TABLE}&variant=${VARIANT}&row=6&column=0`);
    await reviewer.getByRole('button', { name: 'Comment here' }).click();
    await reviewer.getByRole('textbox', { name: 'Comment' }).fill('This is what flared in my car');
    await reviewer.getByRole('button', { name: 'Comment', exact: true }).click();
    await reviewer.getByRole('gridcell', { name: /Load 100 %, Input speed 1000 rpm.*1\scomment/ }).waitFor();
    await reviewer.getByRole('button', { name: 'Approve' }).click();
    await reviewer.getByText('decided by Samphire', { exact: false }).waitFor();
    await reviewer.context().close();

    await page.reload();
    await page.getByText('approved').first().waitFor();
    await page.getByText('This is what flared in my car').first().waitFor();
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('link', { name: 'Document, JSON' }).click(),
    ]);
    const file = {
      name: download.suggestedFilename(),
      mimeType: 'application/json',
      buffer: readFileSync(await download.path()),
    };

    await page.goto(`${baseUrl}/calibrations/${otherCalibrationId}`);
    await page.getByRole('button', { name: 'Import a file' }).first().click();
    await page.locator('input[type=file]').setInputFiles(file);
    await page.getByRole('button', { name: 'Import into a new draft' }).click();
    await page.getByRole('button', { name: 'Make revision' }).click();
    await page.getByLabel('Message').fill('From the base calibration');
    await page.getByRole('button', { name: 'Make the revision' }).click();
    await page.getByRole('heading', { level: 1, name: 'Tern elsewhere r1' }).waitFor();
    const [made] = (await api.get<CalibrationResponse>(`/calibrations/${otherCalibrationId}`)).revisions;
    expect(made?.contentHash).toBe((await api.get<RevisionResponse>(`/revisions/${revisionId}`)).contentHash);
    await page.context().close();
  }, 300_000);

  it('of an axis says the largest departure before the values are read off at the new break points', async () => {
    const { id } = await newDraft('Finer load axis');
    const page = await signIn(ERYNGO);
    await page.goto(draftPath(id));
    await page.getByRole('button', { name: 'More' }).click();
    await page.getByRole('menuitem', { name: 'Move break points' }).click();
    await page.getByLabel('Load, break point 3').fill('10');
    await page.getByText('More than 15 %').waitFor();
    await page.getByLabel('Load, break point 3').fill('35');
    await page.getByText('Largest departure from what the table says now', { exact: false }).waitFor();
    await page.getByRole('button', { name: 'Move the break points' }).click();
    await page.getByRole('rowheader', { name: '35' }).waitFor();
    const { content } = await saved(id, (draft) => draft.content.tables[TABLE]?.axes[0]?.[2] === 35);
    expect(content.tables[TABLE]?.axes[0]).toEqual([0, 15, 35, 45, 60, 80, 100]);
    await page.context().close();
  });

  it('that two people want is lost by neither: one reads, takes over, and the other puts the rest on top', async () => {
    const { id } = await newDraft('Two at once');
    const first = await signIn(ERYNGO);
    await first.goto(draftPath(id, '&row=6&column=0'));
    await first.getByRole('grid').focus();
    await press(first, '6', '0', '0', 'Enter');
    await saved(id, (draft) => valuesOf(draft)[30] === 600);

    const second = await signIn(THRIFT);
    await second.goto(draftPath(id, '&row=6&column=4'));
    await second.getByText('Eryngo is editing this draft', { exact: false }).waitFor();
    await second.getByRole('button', { name: 'Take it over' }).click();
    await second.getByRole('button', { name: 'Make revision' }).waitFor();
    await second.getByRole('grid').focus();
    await press(second, '7', '0', '0', 'Enter');
    await saved(id, (draft) => valuesOf(draft)[34] === 700);

    await first.getByRole('grid').focus();
    await press(first, 'Control+Home', 'Control+ArrowDown', 'ArrowRight', '6', '5', '0', 'Enter');
    await first.getByRole('button', { name: 'Take it over' }).click();
    await first.getByRole('button', { name: 'Put my changes on theirs' }).click();
    const values = valuesOf(await saved(id, (draft) => valuesOf(draft)[31] === 650));
    expect([values[30], values[31], values[34]]).toEqual([600, 650, 700]);
    await first.context().close();
    await second.context().close();
  });
});

/** The pages about calibrations in depth, by a name and the way to their address. */
const PAGES: readonly (readonly [string, () => Promise<string>])[] = [
  ['Calibration', async () => `/calibrations/${calibrationId}`],
  ['Draft', async () => draftPath((await newDraft('To be looked at')).id, '&row=1&column=2').slice(baseUrl.length)],
  ['Draft of one axis', async () => `/drafts/${(await newDraft('One axis')).id}?table=upshiftLine`],
  ['Revision', async () => `/revisions/${firstRevisionId}?table=${TABLE}&variant=${VARIANT}`],
  ['Merge', async () => `/calibrations/${calibrationId}/merge?${new URLSearchParams(await heads())}`],
  ['Move to another layout', async () => `/revisions/${firstRevisionId}/migrate`],
  ['Compare with a draft', async () => `/compare?base=${firstRevisionId}&other=draft:${(await newDraft('Other')).id}`],
  ['Reviews', async () => '/reviews?state=approved'],
];

async function heads(): Promise<{ ours: string; theirs: string }> {
  const { revisions } = await api.get<CalibrationResponse>(`/calibrations/${calibrationId}`);
  const newest = [...revisions].sort((a, b) => b.number - a.number);
  const headOf = (line: string) => newest.find((revision) => revision.line === line)!.id;
  return { ours: headOf('main'), theirs: headOf('winter') };
}

async function openPage(page: Page, path: string): Promise<void> {
  await page.goto(`${baseUrl}${path}`, { waitUntil: 'networkidle' });
  await page.getByRole('heading', { level: 1 }).waitFor();
}

describe.each(['light', 'dark'] as const)('accessibility in the %s theme', (colorScheme) => {
  let page: Page;
  beforeAll(async () => {
    page = await signIn(ERYNGO, { colorScheme });
  });
  afterAll(() => page?.context().close());

  it.each(PAGES)('axe finds no serious violation on the page %s', async (_name, pathOf) => {
    await openPage(page, await pathOf());
    expect(await seriousViolations(page)).toEqual([]);
  });
});

describe('on a phone, 390 px wide', () => {
  let context: BrowserContext;
  let page: Page;
  beforeAll(async () => {
    page = await signIn(ERYNGO, { viewport: { width: 390, height: 844 } });
    context = page.context();
  });
  afterAll(() => context?.close());

  it.each(PAGES)('the page %s does not scroll sideways', async (_name, pathOf) => {
    await openPage(page, await pathOf());
    expect(await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)).toBeLessThanOrEqual(1);
  });
});
