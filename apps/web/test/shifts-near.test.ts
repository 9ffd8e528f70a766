import type { LayoutDocument } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { nearestSpan, shiftsNear } from '../src/pages/revision/shifts-near.js';

type Table = LayoutDocument['tables'][number];
type Axis = Table['axes'][number];

const LOAD: Axis = { quantity: 'load', title: 'Load', unit: '%', breakpoints: [], editable: true };
const SPEED: Axis = { ...LOAD, quantity: 'inputSpeed' };
const PEDAL: Axis = { ...LOAD, quantity: 'pedal' };
const BREAKPOINTS = [
  [0, 20, 60],
  [1000, 2000],
];

describe('shifts behind a cell', () => {
  it.each([
    [0, null, 10],
    [1, 10, 40],
    [2, 40, null],
  ])('node %i of 0, 20, 60 is the nearest from %s to %s', (node, low, high) => {
    expect(nearestSpan([0, 20, 60], node)).toEqual({ low, high });
  });

  it('are those of the variant whose operating point lies nearest to the node', () => {
    expect(shiftsNear({ axes: [LOAD, SPEED], repeat: 'shift' }, BREAKPOINTS, '2-3', { row: 1, column: 0 })).toEqual({
      search: { kind: '2-3', loadMin: 10, loadMax: 40, inputSpeedMax: 1500 },
      isExact: true,
    });
  });

  it('of a table with one axis depend on the column alone', () => {
    const near = shiftsNear({ axes: [LOAD], repeat: 'program' }, [[0, 20, 60]], 'calm', { row: 0, column: 2 });
    expect(near).toEqual({ search: { program: 'calm', loadMin: 40 }, isExact: true });
  });

  it.each<[string, Pick<Table, 'axes' | 'repeat'>]>([
    ['an axis that the list cannot be filtered by', { axes: [PEDAL], repeat: 'once' }],
    ['a variant that the list cannot be filtered by', { axes: [], repeat: 'clutch' }],
  ])('are not told exactly with %s', (_, spec) => {
    expect(shiftsNear(spec, [[0, 50]], 'A', { row: 0, column: 0 }).isExact).toBe(false);
  });
});
