import { defaultContent } from '@syncline/calibration';
import type { RevisionContentDocument } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { commandedAt, draftPointOf, pointMoved } from '../src/pages/draft/model/draft-point.js';
import { parentValuesOn } from '../src/pages/draft/model/parent-values.js';
import { tableView } from '../src/pages/revision/table-view.js';
import { aLayout, anAxis, aTable, PLATFORM } from './small-layout.js';

const base = aTable({
  id: 'base',
  repeat: 'shift',
  axes: [anAxis('load', [0, 100]), anAxis('inputSpeed', [1000, 3000])],
});
const factor = aTable({ id: 'factor', unit: '1', repeat: 'program', axes: [anAxis('pedal', [0, 50, 100])] });
const layout = aLayout([base, factor], [{ tables: ['base', 'factor'], kind: 'product' }]);
const content: RevisionContentDocument = structuredClone(defaultContent(layout, PLATFORM)) as RevisionContentDocument;
content.tables['base']!.values['1-2'] = [100, 200, 300, 400];
content.tables['factor']!.values['brisk'] = [1, 1.5, 2];

const pointAt = (asked: Parameters<typeof draftPointOf>[0]['asked'], active = { row: 1, column: 0 }) =>
  draftPointOf({
    layout,
    platform: PLATFORM,
    view: tableView(layout, PLATFORM, content, { table: 'base', variant: '1-2' })!,
    active,
    asked,
  })!;

describe('the operating point of a draft', () => {
  it('lies at the active cell, in its variant, and in the middle of what the table does not depend on', () => {
    const { quantities, selectors } = pointAt({});
    expect(Object.fromEntries(quantities.map(({ quantity, value }) => [quantity, value]))).toEqual({
      load: 100,
      inputSpeed: 1000,
      pedal: 50,
    });
    expect(Object.fromEntries(selectors.map(({ selector, value }) => [selector, value]))).toEqual({
      shift: '1-2',
      program: 'calm',
    });
  });

  it('is moved by the address', () => {
    const { quantities, selectors } = pointAt({ load: 25, program: 'brisk' });
    expect(quantities.find(({ quantity }) => quantity === 'load')?.value).toBe(25);
    expect(selectors.find(({ selector }) => selector === 'program')?.value).toBe('brisk');
  });

  it('commands the product of the tables between their break points', () => {
    const point = pointMoved(pointAt({ load: 50, speed: 2000, program: 'brisk' }), 'pedal', 25);
    // The middle of 100, 200, 300, 400 is 250; half-way from 1 to 1.5 is 1.25.
    const found = commandedAt(layout, content, point);
    expect(found).toMatchObject({ kind: 'value', found: { value: 312.5, unit: 'kPa' } });
  });
});

describe('values of the parent beside a draft', () => {
  const parent = content.tables['base'];

  it('are its own where the break points are the same', () => {
    const axes = base.axes.map(({ breakpoints }) => [...breakpoints]);
    expect(parentValuesOn(base, parent, '1-2', axes)).toBe(parent?.values['1-2']);
  });

  it('are read off at moved break points', () => {
    expect(
      parentValuesOn(base, parent, '1-2', [
        [50, 100],
        [1000, 2000],
      ]),
    ).toEqual([200, 250, 300, 350]);
  });

  it('are none where the parent has no such variant', () => {
    expect(
      parentValuesOn(base, parent, '6-5', [
        [0, 100],
        [1000, 3000],
      ]),
    ).toBeNull();
  });
});
