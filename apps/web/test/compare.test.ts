import type { TableChange } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { reachOf } from '../src/charts/effect-bar.js';
import { commandedDifference } from '../src/pages/compare/commanded-change.js';
import { insufficientWords, pointsInterval, pointsWords, probabilityWords } from '../src/pages/compare/effect-words.js';
import { groupDifferences } from '../src/pages/compare/group-differences.js';

const SMALL = { position: 1, absolute: -50, percent: -25 };

function aChange(part: Partial<TableChange>): TableChange {
  return {
    tableId: 'base',
    title: 'Base',
    unit: 'kPa',
    variant: '1-2',
    cells: 2,
    changedCells: 1,
    largestAbsolute: SMALL,
    largestPercent: SMALL,
    isResampled: false,
    ...part,
  };
}

describe('differing tables', () => {
  const steep = { position: 0, absolute: 10, percent: 40 };
  const differences = [
    aChange({ variant: '2-3', largestAbsolute: steep, largestPercent: steep }),
    aChange({
      tableId: 'fill',
      variant: 'A',
      cells: 1,
      largestAbsolute: { position: 0, absolute: 5, percent: null },
      largestPercent: null,
    }),
    aChange({}),
  ];
  const [base, fill] = groupDifferences(differences);

  it('are listed once, in the order in which the comparison names them', () => {
    expect(groupDifferences(differences).map(({ tableId }) => tableId)).toEqual(['base', 'fill']);
    expect(base).toMatchObject({ changedCells: 2, cells: 4 });
  });

  it('keep the sign and the variant of their largest change, which need not be the largest share', () => {
    expect(base?.largestAbsolute).toEqual({ position: 1, variant: '1-2', absolute: -50, percent: -25 });
    expect(base?.largestPercent).toMatchObject({ variant: '2-3', percent: 40 });
  });

  it('have no largest share where the base is 0 everywhere', () => {
    expect(fill?.largestPercent).toBeNull();
  });
});

describe('difference of commanded maps', () => {
  const map = { title: 'Apply pressure', unit: 'kPa', load: [0, 50], inputSpeed: [1000], values: [100, 0] };

  it('is other minus base, in the unit and as a share of the base', () => {
    const found = commandedDifference(map, { ...map, values: [90, 20] });
    expect(found).toMatchObject({ absolute: [-10, 20], percent: [-10, null], size: { rows: 2, columns: 1 } });
  });

  it('is not made up where the nodes differ', () => {
    expect(commandedDifference(map, { ...map, load: [0, 60] })).toBeUndefined();
  });
});

describe('words for a difference', () => {
  it.each([
    [-0.034, '−3.4\u202fpp'],
    [0.021, '+2.1\u202fpp'],
    [0.0001, '0.0\u202fpp'],
  ])('%d is written %s', (difference, text) => {
    expect(pointsWords(difference)).toBe(text);
  });

  it('an interval has a sign at each end and its unit once', () => {
    expect(pointsInterval({ low: -0.051, high: 0.016 })).toBe('−5.1 to +1.6\u202fpp');
  });

  it.each([
    [0.5, '50\u202f%'],
    [0.974, '97.4\u202f%'],
    [1, 'over 99.9\u202f%'],
    [0, 'under 0.1\u202f%'],
  ])('a probability of %d is written %s', (probability, text) => {
    expect(probabilityWords(probability)).toBe(text);
  });

  it('too little evidence is said with the counts that there are', () => {
    expect(insufficientWords({ kind: 'insufficient', reason: 'tooFewVehicles', vehicles: 1, shifts: 40 })).toBe(
      'cannot tell: too few cars (40\u00a0shifts, 1\u00a0car)',
    );
  });

  it.each([
    [[], 0.01],
    [[-0.004, 0.03], 0.05],
    [[-0.3, 0.1], 0.5],
    [[1], 1],
  ])('bars for %j reach to %d', (ends, reach) => {
    expect(reachOf(ends)).toBe(reach);
  });
});
