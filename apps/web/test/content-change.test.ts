import type { RevisionContentDocument } from '@syncline/contract';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rebased, sharingEqualParts, tableChanges } from '../src/pages/draft/model/content-change.js';
import { PLATFORM } from './small-layout.js';

function content(cells: readonly number[], axis = [0, 1, 2]): RevisionContentDocument {
  return {
    platformId: PLATFORM.id,
    layoutVersion: 1,
    tables: {
      base: { axes: [[...axis]], values: { '1-2': cells.slice(0, 3), '2-1': cells.slice(3, 6) } },
      other: { axes: [], values: { all: [7] } },
    },
  };
}

const BASE = [1, 2, 3, 4, 5, 6];
const anyCells = fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 6, maxLength: 6 });

describe('what a draft changed', () => {
  it('is counted by table and variant', () => {
    expect([...tableChanges(content([1, 9, 9, 4, 5, 6]), content(BASE)).values()]).toEqual([
      { tableId: 'base', changedCells: 2, byVariant: { '1-2': 2 }, hasOtherAxes: false },
    ]);
  });

  it('names moved break points even where every value stayed', () => {
    expect(tableChanges(content(BASE, [0, 1, 3]), content(BASE)).get('base')).toMatchObject({
      changedCells: 0,
      hasOtherAxes: true,
    });
  });

  it('is nothing for a draft without a parent', () => {
    expect(tableChanges(content(BASE), null).size).toBe(0);
  });

  it('is known by identity once equal parts are shared, without another outcome', () => {
    fc.assert(
      fc.property(anyCells, (cells) => {
        const [own, parent] = [content(cells), content(BASE)];
        const shared = sharingEqualParts(own, parent);
        expect(shared).toEqual(own);
        expect(tableChanges(shared, parent)).toEqual(tableChanges(own, parent));
        expect(shared.tables['other']).toBe(parent.tables['other']);
      }),
    );
  });
});

describe('my changes put on what somebody else saved', () => {
  it('are mine where I changed a cell and theirs elsewhere; contested cells are counted', () => {
    fc.assert(
      fc.property(anyCells, anyCells, (mine, theirs) => {
        const result = rebased(content(BASE), content(mine), content(theirs));
        const expected = mine.map((cell, i) => (cell === BASE[i] ? theirs[i] : cell) as number);
        expect(result.content).toEqual(content(expected));
        const isChanged = (cells: readonly number[], i: number) => cells[i] !== BASE[i];
        const contested = mine.filter((cell, i) => isChanged(mine, i) && isChanged(theirs, i) && cell !== theirs[i]);
        expect(result.contestedCells).toBe(contested.length);
        expect(result.myCells).toBe(mine.filter((_, i) => isChanged(mine, i)).length);
      }),
    );
  });

  it('come over whole with their break points where only I touched the table', () => {
    const mine = content([9, 2, 3, 4, 5, 6], [0, 1, 4]);
    expect(rebased(content(BASE), mine, content(BASE)).content).toEqual(mine);
  });

  it('are left out, and named, where the other side moved the break points of a table that I changed', () => {
    const theirs = content(BASE, [0, 1, 4]);
    const result = rebased(content(BASE), content([9, 2, 3, 4, 5, 6]), theirs);
    expect(result.leftOut).toEqual(['base']);
    expect(result.content).toEqual(theirs);
  });
});
