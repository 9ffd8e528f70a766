import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SHIFT_PAGE_SIZE } from '../src/api/shift-page-size.js';
import { distributionWords } from '../src/pages/shifts/distribution-words.js';
import { facetEntries } from '../src/pages/shifts/facet-entries.js';
import { binsOf, edgeDigits, isTowering } from '../src/pages/shifts/histogram-bins.js';
import { FIRST_PLACE, pagesOf, reachableRows, withPage } from '../src/pages/shifts/shift-places.js';
import { drawnQuantity, filterCount, withinBin } from '../src/pages/shifts/shift-view.js';

const FULL = SHIFT_PAGE_SIZE;

/** A server's list of this many rows, read page by page as the places say, until the end. */
function readThrough(rowCount: number) {
  const visited: (string | undefined)[] = [];
  let places = FIRST_PLACE;
  for (let page = 0; page < places.cursors.length; page++) {
    visited.push(places.cursors[page]);
    const left = rowCount - page * FULL;
    places = withPage(places, page, {
      itemCount: Math.min(FULL, left),
      nextCursor: left > FULL ? `after ${(page + 1) * FULL}` : null,
    });
  }
  return { places, visited };
}

describe('places of a long list', () => {
  it('lead through every row once, whatever the length', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5000 }), (rowCount) => {
        const { places, visited } = readThrough(rowCount);
        expect(reachableRows(places)).toBe(rowCount);
        expect(new Set(visited).size).toBe(Math.ceil(rowCount / FULL));
      }),
    );
  });

  it('stay the same object when a page is read again and nothing changed', () => {
    const { places } = readThrough(3 * FULL);
    expect(withPage(places, 0, { itemCount: FULL, nextCursor: `after ${FULL}` })).toBe(places);
    expect(withPage(places, 2, { itemCount: FULL, nextCursor: null })).toBe(places);
  });

  it('forget what followed a page that ends elsewhere than before', () => {
    const { places } = readThrough(4 * FULL);
    const moved = withPage(places, 1, { itemCount: FULL, nextCursor: 'elsewhere' });
    expect(moved).toMatchObject({ cursors: [undefined, `after ${FULL}`, 'elsewhere'], lastPageCount: null });
  });

  it('let one page beyond the known ones be scrolled to, so that it is asked for', () => {
    const places = withPage(FIRST_PLACE, 0, { itemCount: FULL, nextCursor: 'next' });
    expect(reachableRows(places)).toBe(2 * FULL);
  });

  it.each([
    [0, 30, [0]],
    [FULL - 5, FULL + 5, [0, 1]],
    [2 * FULL, 2 * FULL + 30, [2]],
    [9 * FULL, 9 * FULL + 5, []],
  ])('for rows %i to %i are the pages %j', (first, last, pages) => {
    expect(pagesOf(readThrough(3 * FULL).places, first, last)).toEqual(pages);
  });
});

describe('facets', () => {
  const entry = (value: string, shifts: number) => ({ value, label: value, shifts });

  it('keep the chosen value in sight where no shift is left of it', () => {
    expect(facetEntries([entry('2-3', 4)], '6-2')).toEqual([entry('6-2', 0), entry('2-3', 4)]);
    expect(facetEntries([entry('2-3', 4)], '2-3')).toEqual([entry('2-3', 4)]);
  });
});

describe('a distribution', () => {
  const found = {
    quantity: 'delayS',
    edges: [0, 0.1, 0.2],
    counts: [30, 10],
    measuredCount: 40,
    unmeasuredCount: 2,
    everyNthDrive: 1,
    p05: 0.02,
    p50: 0.07,
    p95: 0.18,
  } as const;

  it('reads in words with its unit', () => {
    expect(distributionWords({ ...found, edges: [...found.edges], counts: [...found.counts] })).toBe(
      '40\u00a0shifts; in 2 more it could not be measured. Half lie below 0.07\u202fs, nine in ten between 0.02\u202fs and 0.18\u202fs.',
    );
  });

  it('of mostly equal values says so instead of a range between equal ends', () => {
    const flares = { ...found, quantity: 'flareRpm' as const, edges: [0, 400, 800], p05: 0, p50: 0, p95: 0 };
    expect(distributionWords({ ...flares, counts: [38, 2], unmeasuredCount: 0 })).toBe(
      '40\u00a0shifts. At least nine in ten have 0\u202frpm; the highest is 800\u202frpm.',
    );
  });

  it('of nothing says so', () => {
    const none = { ...found, edges: [], counts: [], measuredCount: 0, p05: null, p50: null, p95: null };
    expect(distributionWords(none)).toBe('No shift here has a delay.');
  });

  it('is cut into bins between neighbouring edges', () => {
    expect(binsOf({ edges: [0, 5, 10], counts: [3, 1] })).toEqual([
      { low: 0, high: 5, shifts: 3 },
      { low: 5, high: 10, shifts: 1 },
    ]);
  });

  it.each([
    [[8000, 10, 12, 9], true],
    [[80, 60, 70], false],
    [[0, 0], false],
  ])('with the counts %j has a bar that hides the others: %s', (counts, isHidden) => {
    expect(isTowering(binsOf({ edges: [...counts, 0].map((_, at) => at), counts }))).toBe(isHidden);
  });

  it.each([
    [50, 0],
    [0.02, 2],
    [0.5, 1],
  ])('with bins %d wide writes edges with %i digits, enough to tell them apart', (width, digits) => {
    expect(edgeDigits([{ low: 0, high: width, shifts: 1 }])).toBe(digits);
  });
});

describe('the address of the Shifts page', () => {
  it('draws what the list is ordered by unless a quantity is chosen', () => {
    expect(drawnQuantity({})).toBe('flareRpm');
    expect(drawnQuantity({ sort: 'newest' })).toBe('flareRpm');
    expect(drawnQuantity({ sort: 'peakJerk' })).toBe('peakJerk');
    expect(drawnQuantity({ sort: 'peakJerk', quantity: 'load' })).toBe('load');
  });

  it('counts filters, not order and columns', () => {
    expect(filterCount({ kind: '2-3', loadMax: 30, sort: 'peakJerk', columns: 'kind', quantity: 'load' })).toBe(2);
  });

  it('narrows to a bin where a filter can say it', () => {
    expect(withinBin({ kind: '2-3' }, 'load', { low: 20, high: 25 })).toEqual({
      kind: '2-3',
      loadMin: 20,
      loadMax: 25,
    });
    expect(withinBin({}, 'peakJerk', { low: 1, high: 2 })).toBeUndefined();
  });
});
