import type { MatrixResponse, Rate } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { cellLook, colourScale } from '../src/pages/fleet/matrix-colour.js';
import { rateFigure, rateMatrix, spreadMatrix } from '../src/pages/fleet/matrix-figure.js';
import { type DataColumn, informativeColumnIds } from '../src/parts/data-table.js';

const estimate = (rate: number, low: number, high: number): Rate => ({
  kind: 'estimate',
  events: 1,
  shifts: 100,
  vehicles: 10,
  rate,
  low,
  high,
});
const tooFew: Rate = { kind: 'insufficient', events: 7, shifts: 7, vehicles: 2, neededShifts: 30, neededVehicles: 3 };

describe('columns', () => {
  interface Row {
    program: string | null;
    load: number;
  }
  const columns: DataColumn<Row>[] = [
    { id: 'kind', title: 'Shift', render: () => '2-3' },
    { id: 'program', title: 'Program', distinct: (row) => row.program, render: (row) => row.program },
    { id: 'load', title: 'Load', distinct: (row) => row.load, render: (row) => row.load },
  ];

  it.each<[string, Row[], string[]]>([
    [
      'hide themselves when they are empty',
      [
        { program: null, load: 1 },
        { program: null, load: 2 },
      ],
      ['kind', 'load'],
    ],
    [
      'hide themselves when they are constant',
      [
        { program: 'calm', load: 5 },
        { program: 'brisk', load: 5 },
      ],
      ['kind', 'program'],
    ],
    ['with a value all show for a single row', [{ program: 'calm', load: 5 }], ['kind', 'program', 'load']],
    ['all show while there are no rows', [], ['kind', 'program', 'load']],
  ])('%s', (_name, rows, shown) => {
    expect(informativeColumnIds(columns, rows)).toEqual(shown);
  });
});

describe('the matrix', () => {
  const scale = { low: 0, high: 0.4, lowText: '0', highText: '40 %' };
  const matrix = (...rates: Rate[]): MatrixResponse => ({
    measure: 'flare',
    loadBands: [],
    fluidTemperatureBands: [],
    rows: [{ kind: '2-3', total: tooFew, cells: rates.map((rate, loadBand) => ({ loadBand, rate })) }],
    total: tooFew,
  });

  it.each([
    [[estimate(0.33, 0.2, 0.5)], 0.4],
    [[estimate(0.02, 0, 0.9), tooFew], 0.05],
    [[tooFew], 0.05],
  ])('has a colour scale that ends at the next round share above its rates', (rates, end) => {
    expect(colourScale([rateMatrix(matrix(...rates))])).toMatchObject({ low: 0, high: end });
  });

  it('has one colour scale for several', () => {
    const matrices = [[estimate(0.33, 0.2, 0.5)], [estimate(0.71, 0.5, 0.9)]].map((rates) =>
      rateMatrix(matrix(...rates)),
    );
    expect(colourScale(matrices)).toMatchObject({ low: 0, high: 0.75 });
  });

  const median = (p50: number) =>
    ({ kind: 'estimate', shifts: 90, vehicles: 9, mean: 0.5, p05: 0.3, p25: 0.35, p50, p75: 0.6, p95: 0.8 }) as const;

  it('of a quantity has a colour scale from the lowest to the highest median, in its unit', () => {
    const times = spreadMatrix({
      measure: 'inertiaTimeS',
      loadBands: [],
      rows: [
        {
          kind: '2-3',
          total: median(0.45),
          cells: [0.41, 0.52].map((p50, loadBand) => ({ loadBand, spread: median(p50) })),
        },
      ],
      total: median(0.45),
    });
    expect(colourScale([times])).toEqual({ low: 0.41, high: 0.52, lowText: '0.41\u202fs', highText: '0.52\u202fs' });
    expect(times.rows[0]?.cells.get(1)).toMatchObject({ main: '0.52\u202fs', side: '0.30–0.80' });
    expect(times.total.describe('2-3')).toContain('nine in ten within 0.30–0.80\u202fs');
  });

  it('says what is missing where there is too little evidence', () => {
    expect(rateFigure(tooFew, 'Flare')).toMatchObject({ value: null, main: '–', side: '7 of 30\u00a0shifts' });
  });

  it('gives no colour to too few shifts', () => {
    expect(cellLook(rateFigure(tooFew, 'Flare'), scale, 'light')).toMatchObject({
      background: 'transparent',
      isHatched: true,
    });
  });

  it('hatches a wide interval and leaves a narrow one plain', () => {
    expect(cellLook(rateFigure(estimate(0.2, 0.05, 0.38), 'Flare'), scale, 'light').isHatched).toBe(true);
    expect(cellLook(rateFigure(estimate(0.2, 0.18, 0.22), 'Flare'), scale, 'light').isHatched).toBe(false);
  });
});
