import { describe, expect, it } from 'vitest';
import { type Answer, faultsOf, figuresOf, memoryGrowth, percentile, type Sample } from './load-figures.ts';
import { loadPage } from './load-report.ts';
import { readSetting } from './load-setting.ts';
import { routeOf, TESTER_PAGES } from './pages.ts';
import { runLoad } from './run-load.ts';
import { readMetrics } from './watch-server.ts';

const read = (tookMs: number, error: string | null = null): Answer => ({
  route: 'GET /logs',
  kind: 'read',
  tookMs,
  error,
});
const sample = (residentBytes: number): Sample => ({
  atS: 0,
  residentBytes,
  heapBytes: 0,
  stallP99Ms: 0,
  stallMaxMs: 0,
  cpuShare: 0,
  waitingJobs: 0,
});

describe('figures of a load', () => {
  // The usual worked example of the nearest-rank method, from memory.
  it.each([
    [0.05, 15],
    [0.3, 20],
    [0.4, 20],
    [0.5, 35],
    [1, 50],
  ])('the %f quantile of 15, 20, 35, 40, 50 is %i', (share, value) => {
    expect(percentile([15, 20, 35, 40, 50], share)).toBe(value);
  });

  it('tell of errors, slow reads and growing memory, and of nothing else', () => {
    const flat = Array.from({ length: 20 }, () => sample(100));
    const growing = Array.from({ length: 20 }, (_, index) => sample(100 + 5 * index));
    const fast = Array.from({ length: 100 }, () => read(20));
    expect(faultsOf(fast, flat)).toEqual([]);
    expect(faultsOf([...fast, ...Array.from({ length: 4 }, () => read(500))], flat)).toEqual([]);
    expect(faultsOf([...fast, ...Array.from({ length: 6 }, () => read(500))], flat)).toEqual([
      'reads took 500 ms at the 95th percentile, not 100',
    ]);
    expect(faultsOf([...fast, read(1, 'refused')], flat)).toEqual(['1 requests failed, the first: refused']);
    expect(faultsOf(fast, growing)).toEqual([expect.stringMatching(/^memory grew by \d+ %/)]);
    expect(figuresOf(fast)).toMatchObject({ count: 100, errors: 0, p95Ms: 20 });
  });

  it('let memory grow while caches fill, in the first part of a run', () => {
    const filling = Array.from({ length: 20 }, (_, index) => sample(100 + 10 * Math.min(index, 7)));
    expect(memoryGrowth(filling)).toBe(0);
  });

  it('are of the route and not of the thing', () => {
    expect(routeOf('/logs/01a2213e-e516-7000-9313-0005ce544de1/shifts?limit=5')).toBe('/logs/:id/shifts');
  });

  it('come from the Prometheus text of the server', () => {
    const metrics = readMetrics('# HELP a b\n# TYPE a gauge\na 4.5e+2\njobs{state="queued"} 3\n');
    expect([metrics('a'), metrics('jobs{state="queued"}')]).toEqual([450, 3]);
    expect(() => metrics('none')).toThrow('no none');
  });

  it.each([
    ['--testers', '0'],
    ['--minutes', 'x'],
    ['--more', '1'],
  ])('are not begun by %s %s', (...args) => {
    expect(() => readSetting(args)).toThrow(/needs a number|Unknown option/);
  });
});

describe('a small load', () => {
  it('opens every page and uploads drives without an error', async () => {
    const setting = {
      testers: 3,
      minutes: 0.15,
      thinkS: 0.15,
      uploadEveryMinutes: 0.05,
      driveS: 60,
      profileFolder: null,
    };
    const result = await runLoad(setting, () => {});
    expect(result.answers.filter(({ error }) => error !== null)).toEqual([]);
    const of = { vehicleId: '00000000-0000-7000-8000-000000000000', logId: '' };
    const home = TESTER_PAGES[0]!.paths(of).map((path) => `GET ${routeOf(path)}`);
    const routes = result.answers.map(({ route }) => route);
    expect(routes).toEqual(expect.arrayContaining([...home, 'POST /logs']));
    expect(result.samples.length).toBeGreaterThan(0);
    expect(loadPage(result)).toContain('| **all reads** |');
  });
});
