import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  beginHistory,
  type EditHistory,
  redone,
  undone,
  withEdit,
  withValues,
} from '../src/pages/draft/model/edit-history.js';
import { oneCell } from '../src/pages/draft/model/grid-selection.js';
import { PLATFORM } from './small-layout.js';

const place = (tableId: string) => ({ tableId, variant: 'all', selection: oneCell({ row: 0, column: 0 }) });

function content(tables: Record<string, number[]>) {
  return {
    platformId: PLATFORM.id,
    layoutVersion: 1,
    tables: Object.fromEntries(Object.entries(tables).map(([id, all]) => [id, { axes: [], values: { all } }])),
  };
}

const start = content({ a: [1, 2], b: [3] });

function edited(history: EditHistory, tableId: string, values: number[]): EditHistory {
  const next = withValues(history.content, place(tableId), values);
  return withEdit(history, next, { words: `${tableId} ${values.join()}`, place: place(tableId) });
}

/** Edits of either table, as a person may make them. */
const anyEdits = fc.array(fc.tuple(fc.constantFrom('a', 'b'), fc.array(fc.double(), { minLength: 1, maxLength: 2 })), {
  maxLength: 30,
});

describe('the history of edits', () => {
  it('goes back over tables in the order in which they were edited, and names place and edit', () => {
    const history = edited(edited(beginHistory(start), 'a', [9, 2]), 'b', [8]);
    expect(history.past.at(-1)).toMatchObject({ words: 'b 8', place: { tableId: 'b' } });
    const back = undone(history);
    expect(back.content.tables['b']?.values['all']).toEqual([3]);
    expect(back.content.tables['a']?.values['all']).toEqual([9, 2]);
    expect(back.past.at(-1)).toMatchObject({ words: 'a 9,2', place: { tableId: 'a' } });
  });

  it('forgets what was undone once something else is edited', () => {
    const history = edited(undone(edited(beginHistory(start), 'a', [9, 2])), 'b', [8]);
    expect(redone(history)).toBe(history);
  });

  it('takes equal values for no edit', () => {
    const history = beginHistory(start);
    expect(edited(history, 'a', [1, 2])).toBe(history);
  });

  it('shares every table that an edit leaves alone', () => {
    expect(edited(beginHistory(start), 'a', [9, 2]).content.tables['b']).toBe(start.tables['b']);
  });

  it('stays as it is where there is nothing to undo or to do again', () => {
    const history = beginHistory(start);
    expect(undone(history)).toBe(history);
    expect(redone(history)).toBe(history);
  });

  it('leads back to the beginning and forward to the end again, whatever was done', () => {
    fc.assert(
      fc.property(anyEdits, (edits) => {
        const end = edits.reduce((history, [tableId, values]) => edited(history, tableId, values), beginHistory(start));
        let history = end;
        for (let i = 0; i < end.past.length; i++) history = undone(history);
        expect(history.content).toBe(start);
        for (let i = 0; i < end.past.length; i++) history = redone(history);
        expect(history.content).toBe(end.content);
      }),
    );
  });
});
