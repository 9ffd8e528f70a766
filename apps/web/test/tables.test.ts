import type { MatrixResponse, Rate } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { cellLook, scaleEnd } from '../src/pages/fleet/matrix-colour.js';
import { quantile } from '../src/pages/shifts/quantile.js';
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
    expect(scaleEnd(matrix(...rates))).toBe(end);
  });

  it('gives no colour to too few shifts', () => {
    expect(cellLook(tooFew, 0.4, 'light')).toMatchObject({ background: 'transparent', isHatched: true });
  });

  it('hatches a wide interval and leaves a narrow one plain', () => {
    expect(cellLook(estimate(0.2, 0.05, 0.38), 0.4, 'light').isHatched).toBe(true);
    expect(cellLook(estimate(0.2, 0.18, 0.22), 0.4, 'light').isHatched).toBe(false);
  });
});

describe('quantile', () => {
  // Hyndman and Fan 1996, type 7, as numpy.percentile([1, 2, 3, 4, 10], q) answers by default.
  it.each([
    [0, 1],
    [0.5, 3],
    [0.9, 7.6],
    [1, 10],
  ])('%d of 1, 2, 3, 4, 10 lies at %d', (share, value) => {
    expect(quantile([10, 1, 3, 2, 4], share)).toBeCloseTo(value, 12);
  });

  it('has no value without values', () => {
    expect(quantile([], 0.5)).toBeNull();
  });
});
