import { driveTern, type PlannedDrive, ternDrives, writeCsvLog } from '@syncline/drivetrain';
import { seedDemo } from '@syncline/server';
import type { Browser } from 'playwright-core';
import { Api } from '../support/api.ts';
import { launchBrowser, openSignedIn } from '../support/browser.ts';
import { uploadFile, waitForState } from '../support/tern-club.ts';
import { startTestServer } from '../support/test-server.ts';
import { type FigureRow, printRow, spreadOf } from './figures.ts';
import { LONG_DRIVE_CAR } from './long-drive.ts';
import {
  type Account,
  type Address,
  BROWSER_FLAGS,
  SLOWED,
  slowedSession,
  type Visit,
  visit,
  type Zoom,
  zoom,
} from './visit-page.ts';

const REPEATS = 5;
const ZOOMS = 15;
const WARM_UPS = 2;
const HOUR_S = 3600;
const LIMITS = { scriptKb: 300, paintMs: 2000, zoomMs: 50 };

/**
 * How heavy the pages are and how soon they show something on a slow machine: the built pages of a real server in
 * Chromium with its processor slowed, everything fetched anew. Compressed script and style by page, largest paint, time
 * until the evidence stands there, and zooming in an hour of 100 Hz.
 */
export async function benchPages(): Promise<unknown> {
  // `WEB_FOLDER` tries pages that were built elsewhere.
  const server = await startTestServer({ webFolder: process.env.WEB_FOLDER });
  const browser = await launchBrowser(BROWSER_FLAGS);
  try {
    const { baseUrl } = server;
    const demo = await seedDemo({ baseUrl, nowMs: Date.now(), showProgress: () => {}, carCount: 6, driveCount: 36 });
    const api = new Api(baseUrl);
    await api.post('/session', demo.maintainer);
    const logId = await uploadHour(api);
    console.log(`\nPages in a browser whose processor is slowed ${SLOWED} times`);
    const pages = [];
    for (const address of await addressesOf(api, logId)) {
      pages.push(await benchPage(browser, baseUrl, demo.maintainer, address));
    }
    const rows = await benchZoom(browser, `${baseUrl}/logs/${logId}`, baseUrl, demo.maintainer);
    tellWhatIsBeyond(pages, rows);
    return { slowed: SLOWED, pages, rows };
  } finally {
    await browser.close();
    await server.close();
  }
}

async function benchPage(browser: Browser, baseUrl: string, account: Account, address: Address) {
  const visits: Visit[] = [];
  for (let i = 0; i < REPEATS; i++) visits.push(await visit(browser, baseUrl, account, address));
  const of = (key: keyof Visit) => spreadOf(visits.map((seen) => seen[key]));
  const [first, script, style, answers] = [of('firstScriptKb'), of('scriptKb'), of('styleKb'), of('answerKb')].map(
    ({ median }) => median.toFixed(0),
  );
  console.log(
    `${address.name}: ${first} kB of script until the evidence, ${script} in all, ${style} of style, ${answers} of answers`,
  );
  const rows: FigureRow[] = [
    { what: '  largest paint', unit: 'ms', spread: of('largestPaintMs') },
    { what: '  evidence stands there', unit: 'ms', spread: of('evidenceMs') },
  ];
  for (const row of rows) printRow(row);
  return {
    page: address.name,
    firstScriptKb: of('firstScriptKb'),
    scriptKb: of('scriptKb'),
    answerKb: of('answerKb'),
    rows,
  };
}

async function benchZoom(browser: Browser, url: string, baseUrl: string, account: Account): Promise<FigureRow[]> {
  const { context, page } = await openSignedIn(browser, { baseUrl, account });
  await slowedSession(page);
  await page.goto(url);
  await page.locator('canvas').first().waitFor();
  await page.waitForLoadState('networkidle');
  const zooms: Zoom[] = [];
  // Each goes over another part, as one that was seen before is there already.
  for (let i = 0; i < ZOOMS + WARM_UPS; i++) zooms.push(await zoom(page, HOUR_S, 0.05 + 0.04 * i));
  await context.close();
  const measured = zooms.slice(WARM_UPS);
  const row = (what: string, key: keyof Zoom): FigureRow => ({
    what,
    unit: 'ms',
    spread: spreadOf(measured.map((times) => times[key])),
  });
  const rows = [
    row('zoom to a fifth of the hour: its picture is on the screen', 'presentedMs'),
    row('the same, its frame is painted', 'pictureMs'),
    row('the same, drawn from the samples that are there', 'plotsMs'),
    row('the same, its heading too', 'headingMs'),
    row('the same, as fine as the server sends it', 'refinedMs'),
  ];
  for (const row of rows) printRow(row);
  return rows;
}

type BenchedPage = Awaited<ReturnType<typeof benchPage>>;

function tellWhatIsBeyond(pages: readonly BenchedPage[], [zoomed]: readonly FigureRow[]): void {
  const heavy = pages.filter(({ firstScriptKb }) => firstScriptKb.median > LIMITS.scriptKb).map(({ page }) => page);
  const late = pages.filter(({ rows }) => rows[0]!.spread.median > LIMITS.paintMs).map(({ page }) => page);
  const words = (names: readonly string[]) => (names.length === 0 ? 'none' : names.join(', '));
  console.log(
    `more than ${LIMITS.scriptKb} kB of script until the evidence: ${words(heavy)}; painted after ${LIMITS.paintMs} ms: ${words(late)}`,
  );
  console.log(`zoom ${zoomed!.spread.median <= LIMITS.zoomMs ? 'within' : 'NOT within'} ${LIMITS.zoomMs} ms`);
}

/** An hour with twelve columns at 100 Hz, uploaded for the tester's car; gives the log once it is analysed. */
async function uploadHour(api: Api): Promise<string> {
  const { items } = await api.get<{ items: { id: string; ownerName: string }[] }>('/vehicles?limit=50');
  const vehicleId = items.find(({ ownerName }) => ownerName === 'Thrift')!.id;
  const plan: PlannedDrive = { ...ternDrives('pages', 1, 1)[0]!, revision: 'r1', durationS: HOUR_S, kind: 'mixed' };
  const chunks = writeCsvLog(driveTern(plan, LONG_DRIVE_CAR).log, LONG_DRIVE_CAR.dialect, Date.UTC(2026, 4, 1));
  const { id } = await uploadFile(api, vehicleId, new Uint8Array(Buffer.concat([...chunks])), 'hour.csv');
  const { state, inspection } = await waitForState(api, id, ['ready', 'awaitingMap']);
  if (state === 'awaitingMap') await api.put(`/vehicles/${vehicleId}/signal-map`, inspection?.suggestion);
  await waitForState(api, id, ['ready']);
  return id;
}

async function addressesOf(api: Api, logId: string): Promise<readonly Address[]> {
  const { items: calibrations } = await api.get<{ items: { id: string }[] }>('/calibrations');
  const calibration = `/calibrations/${calibrations[0]!.id}`;
  const { revisions } = await api.get<{ revisions: { id: string; number: number; shiftCount: number }[] }>(calibration);
  const driven = revisions.filter(({ shiftCount }) => shiftCount > 0).sort((a, b) => a.number - b.number);
  const { items: proposals } = await api.get<{ items: { id: string }[] }>(`${calibration}/proposals`);
  return [
    { name: 'Fleet', path: '/fleet', evidence: 'section td a' },
    { name: 'Shifts', path: '/shifts', evidence: 'tr[data-index] a' },
    { name: 'Logs', path: '/logs', evidence: 'table td a' },
    { name: 'Log, 1 hour at 100 Hz', path: `/logs/${logId}`, evidence: '.uplot canvas' },
    { name: 'Report', path: `/logs/${logId}/report`, evidence: 'h2' },
    { name: 'Vehicles', path: '/vehicles', evidence: 'table td a' },
    {
      name: 'Compare',
      path: `/compare?base=${driven[0]!.id}&other=${driven.at(-1)!.id}`,
      evidence: 'section table td',
    },
    { name: 'Calibration', path: calibration, evidence: 'section' },
    { name: 'Proposal', path: `/proposals/${proposals[0]!.id}`, evidence: '[role=grid]' },
    { name: 'Releases', path: '/releases', evidence: 'table td' },
  ];
}
