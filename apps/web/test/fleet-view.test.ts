import type { MatricesResponse, Rate } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { fleetSearch } from '../src/pages/fleet/fleet-search.js';
import { shiftsBehind, toView } from '../src/pages/fleet/fleet-view.js';
import { ratePanels } from '../src/pages/fleet/matrix-figure.js';
import { oddKinds, oddWords } from '../src/pages/fleet/odd-words.js';
import { panelCells, panelKinds } from '../src/pages/fleet/temperature-cells.js';
import { ratePoint, spreadPoint } from '../src/pages/fleet/trend-point.js';
import { shiftsSearch } from '../src/pages/shifts/shifts-search.js';

const estimate = (events: number, shifts: number) =>
  ({ kind: 'estimate', events, shifts, vehicles: 9, rate: events / shifts, low: 0, high: 1 }) as const;
const few: Rate = { kind: 'insufficient', events: 0, shifts: 4, vehicles: 1, neededShifts: 30, neededVehicles: 3 };

describe('the address of the Fleet page', () => {
  it('shows flares of all driving when it says nothing', () => {
    expect(toView(fleetSearch.parse({}), 'tern-6')).toMatchObject({ platform: 'tern-6', measure: 'flare' });
  });

  it('keeps the program and lets it rest while a quantity is shown, which is not told apart by it', () => {
    const search = fleetSearch.parse({ measure: 'delayS', program: 'calm', fluid: '2' });
    expect(toView(search, 'tern-6')).toMatchObject({ measure: 'delayS', program: undefined, fluidTemperatureBand: 2 });
    expect(toView({ ...search, measure: 'slow' }, 'tern-6').program).toBe('calm');
  });

  it('ignores what it does not know rather than fail', () => {
    expect(fleetSearch.parse({ measure: 'wobble', fluid: 'warm' })).toEqual({ measure: undefined, fluid: undefined });
  });
});

describe('the way from a figure to its shifts', () => {
  const view = toView({ measure: 'tie-up', revision: 'r3', program: 'calm' }, 'tern-6');
  const load = { index: 1, low: 15, high: 30, label: '15–30 %' };
  const fluidTemperature = { index: 4, low: 100, high: null, label: '100 °C and above' };

  it('carries every filter of the page and the limits of the cell, the worst shifts first', () => {
    expect(shiftsBehind(view, { kind: '2-3', load, fluidTemperature, grade: 'tie-up' })).toEqual({
      platform: 'tern-6',
      revision: 'r3',
      program: 'calm',
      kind: '2-3',
      grade: 'tie-up',
      loadMin: 15,
      loadMax: 30,
      fluidTemperatureMin: 100,
      sort: 'tieUpDepth',
    });
  });

  it('survives the address: what is written is what is read', () => {
    const search = shiftsBehind(view, { kind: '2-3', load });
    const written = Object.fromEntries(
      Object.entries(search).flatMap(([name, value]) => (value === undefined ? [] : [[name, String(value)]])),
    );
    expect(shiftsSearch.parse(written)).toEqual(JSON.parse(JSON.stringify(search)));
  });

  it('draws the distribution of a quantity that was looked at', () => {
    expect(shiftsBehind(toView({ measure: 'peakJerk' }, 'tern-6'), {})).toMatchObject({
      quantity: 'peakJerk',
      sort: 'peakJerk',
    });
  });
});

describe('small matrices by temperature', () => {
  const panel = (index: number, kinds: readonly string[]): MatricesResponse['panels'][number] => ({
    fluidTemperatureBand: { index, low: null, high: null, label: `band ${index}` },
    rows: kinds.map((kind) => ({ kind, total: few, cells: [{ loadBand: 0, rate: estimate(3, 60) }] })),
    total: few,
    shifts: 60,
  });
  const panels = ratePanels({
    measure: 'flare',
    loadBands: [{ index: 0, low: null, high: null, label: 'any' }],
    panels: [panel(0, ['2-3']), panel(1, ['1-2', '2-3', '3-4']), panel(2, ['2-3', '6-5'])],
  });

  it('have the same rows, those of the fullest first', () => {
    expect(panelKinds(panels)).toEqual(['1-2', '2-3', '3-4', '6-5']);
  });

  it('list every cell and every total as a row of their table, each once', () => {
    const cells = panelCells(panels);
    expect(cells).toHaveLength(2 * 6);
    expect(new Set(cells.map(({ key }) => key)).size).toBe(cells.length);
    expect(cells.find(({ kind, load }) => kind === '6-5' && load !== undefined)?.figure.main).toBe('5.0\u202f%');
  });
});

describe('an odd car', () => {
  it.each([
    [estimate(24, 100), estimate(8, 100), '3.0 times as often as the fleet: 24\u202f% against 8.0\u202f%'],
    [estimate(2, 100), estimate(8, 100), '4.0 times more seldom than the fleet: 2.0\u202f% against 8.0\u202f%'],
    [estimate(0, 100), estimate(8, 100), 'never, as the fleet does: 0.0\u202f% against 8.0\u202f%'],
    [estimate(9, 100), estimate(0, 100), 'where the fleet never does: 9.0\u202f% against 0.0\u202f%'],
  ])('is described against the fleet (%#)', (car, fleet, words) => {
    expect(oddWords(car, fleet)).toBe(words);
  });

  const facet = (counts: Record<string, number>) =>
    Object.entries(counts).map(([value, shifts]) => ({ value, label: value, shifts }));
  const fleet = ['1-2', '2-3', '3-4'].map((kind) => ({ kind, total: estimate(5, 100) }));

  it('is traced to the shifts that hold most of its events beyond what is usual', () => {
    // Usual are 5 %: 2 of 40 and 1.5 of 30. Beyond are 0, 0.5 and 8.5.
    const found = oddKinds(
      { all: facet({ '1-2': 40, '2-3': 30, '3-4': 30 }), graded: facet({ '1-2': 2, '2-3': 2, '3-4': 10 }), fleet },
      true,
    );
    expect(found).toEqual([{ kind: '3-4', events: 10, shifts: 30, usual: 0.05 }]);
  });

  it('that has less than the fleet is traced to where it has fewest', () => {
    const found = oddKinds({ all: facet({ '1-2': 200, '2-3': 20 }), graded: facet({ '2-3': 1 }), fleet }, false);
    expect(found.map(({ kind }) => kind)).toEqual(['1-2']);
  });

  it('names no shift that the fleet has too little of', () => {
    const rows = [{ kind: '6-2', total: few }];
    expect(oddKinds({ all: facet({ '6-2': 9 }), graded: facet({ '6-2': 9 }), fleet: rows }, true)).toEqual([]);
  });
});

describe('a point of the trend', () => {
  const outcome = { flare: estimate(6, 100), tieUp: few, harsh: few, slow: few, clean: few };
  const revision = {
    revisionId: 'a',
    label: 'Shore r1',
    number: 1,
    createdAt: '2026-01-01T00:00:00Z',
    shifts: 100,
    outcome,
  };

  it('of a rate is the rate and its interval', () => {
    expect(ratePoint(revision, 'flare').figure).toEqual({ middle: 0.06, low: 0, high: 1 });
    expect(ratePoint(revision, 'tie-up')).toMatchObject({ figure: null, side: 'too few: 4 of 30\u00a0shifts' });
  });

  it('of a quantity is the median between the ends of nine in ten', () => {
    const quantiles = { mean: 0.5, p05: 0.3, p25: 0.4, p50: 0.45, p75: 0.6, p95: 0.9 };
    expect(spreadPoint(revision, { kind: 'estimate', shifts: 50, vehicles: 5, ...quantiles }, 's')).toMatchObject({
      figure: { middle: 0.45, low: 0.3, high: 0.9 },
      main: '0.45\u202fs',
      side: '0.30–0.90\u202fs',
      shifts: 50,
    });
  });
});
