import type { CoverageResponse } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { coverageGaps, describeGap } from '../src/pages/fleet/coverage-gaps.js';

const band = (index: number, low: number | null, high: number | null, label: string) => ({ index, low, high, label });
const answer = (cells: CoverageResponse['cells']): CoverageResponse => ({
  cells,
  loadBands: [band(0, null, 30, 'below 30 %'), band(1, 30, 60, '30–60 %'), band(2, 60, null, '60 % and above')],
  fluidTemperatureBands: [band(0, null, 50, 'below 50 °C'), band(1, 50, null, '50 °C and above')],
  neededShifts: 30,
  neededVehicles: 3,
});
const cell = (loadBand: number, shifts = 0, fluidTemperatureBand = 0) => ({
  kind: '2-3',
  loadBand,
  fluidTemperatureBand,
  shifts,
  vehicles: shifts > 0 ? 1 : 0,
});

describe('coverage gaps', () => {
  it.each([
    [[0, 1, 2], ['2-3, any load, fluid below 50 °C']],
    [[1, 0], ['2-3, load below 60 %, fluid below 50 °C']],
    [[1, 2], ['2-3, load 30 % and above, fluid below 50 °C']],
    [
      [2, 0],
      ['2-3, load below 30 %, fluid below 50 °C', '2-3, load 60 % and above, fluid below 50 °C'],
    ],
  ])('load bands %j that no one has driven read as %j', (loadBands, words) => {
    const { never } = coverageGaps(answer(loadBands.map((loadBand) => cell(loadBand))));
    expect(never.map(describeGap)).toEqual(words);
  });

  it('keep fluid temperatures apart', () => {
    expect(coverageGaps(answer([cell(0), cell(1, 0, 1)])).never.map(describeGap)).toEqual([
      '2-3, load below 30 %, fluid below 50 °C',
      '2-3, load 30–60 %, fluid 50 °C and above',
    ]);
  });

  it('name points that were driven too little one by one, with their counts', () => {
    const { never, thin } = coverageGaps(answer([cell(0, 4), cell(1, 9)]));
    expect(never).toEqual([]);
    expect(thin.map((gap) => [describeGap(gap), gap.shifts])).toEqual([
      ['2-3, load below 30 %, fluid below 50 °C', 4],
      ['2-3, load 30–60 %, fluid below 50 °C', 9],
    ]);
  });
});
