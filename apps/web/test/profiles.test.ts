import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { columnProfile, nearestNode, rowProfile } from '../src/pages/revision/profiles.js';

const SIZE = { rows: 2, columns: 3 };
const VALUES = [1, 2, 3, 4, 5, 6];

describe('profiles of a row-major grid', () => {
  it('a row runs along the fast axis, a column along the slow one', () => {
    expect(rowProfile(VALUES, SIZE, 1)).toEqual([4, 5, 6]);
    expect(columnProfile(VALUES, SIZE, 1)).toEqual([2, 5]);
  });

  it('all rows together are the grid', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 8 }), fc.integer({ min: 1, max: 8 }), (rows, columns) => {
        const values = Array.from({ length: rows * columns }, (_, i) => i);
        const size = { rows, columns };
        expect(Array.from({ length: rows }, (_, row) => rowProfile(values, size, row)).flat()).toEqual(values);
      }),
    );
  });

  it.each([
    [-5, 0],
    [9, 0],
    [11, 1],
    [99, 2],
    [10, 0],
  ])('of the nodes 0, 20 and 40 the one nearest to %i is number %i', (value, node) => {
    expect(nearestNode([0, 20, 40], value)).toBe(node);
  });
});
