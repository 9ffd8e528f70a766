import { describe, expect, it } from 'vitest';
import { axisFaults, withMovedAxes } from '../src/pages/draft/model/moved-axes.js';
import { anAxis, aTable } from './small-layout.js';

const spec = aTable({ id: 'x', axes: [{ ...anAxis('load', [0, 50, 100]), unit: '%' }] });
const table = { axes: [[0, 50, 100]], values: { all: [0, 100, 0] } };

describe('break points as they are typed', () => {
  it.each([
    [['0', '50', '100'], []],
    [['0', '', '100'], [{ axis: 0, node: 1, message: 'Please give a number' }]],
    [['0', '100', '100'], [{ axis: 0, node: 2, message: 'More than 100 %' }]],
  ])('%j have the faults %j', (nodes, faults) => {
    expect(axisFaults(spec, [nodes])).toEqual(faults);
  });

  it('move the values along and tell the largest departure with its place', () => {
    const { table: moved, largestError } = withMovedAxes(spec, table, [['0', '40', '100']]);
    expect(moved).toEqual({ axes: [[0, 40, 100]], values: { all: [0, 80, 0] } });
    // At 50 the new table is on the line from 80 at 40 to 0 at 100: 66.67 where the old one has its peak of 100.
    expect(largestError?.coordinates).toEqual([50]);
    expect(largestError?.error).toBeCloseTo(100 - 80 * (50 / 60), 9);
  });
});
