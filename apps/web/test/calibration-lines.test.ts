import type { MergeConflict } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { importProblemPlace, importProblemWords } from '../src/pages/calibration/import-words.js';
import { layoutVersionOf } from '../src/pages/calibration/layout-version-of.js';
import { headOf, lineAfter, linesOf, suggestedMerge } from '../src/pages/calibration/lines.js';
import { groupConflicts, openCount, settledChoices, withSide } from '../src/pages/calibration/merge-choices.js';
import { parseRenames, stringifyRenames } from '../src/pages/revision/migrate-search.js';

function aConflict(id: string, part: Partial<MergeConflict> = {}): MergeConflict {
  return {
    id,
    tableId: 'base',
    title: 'Base',
    unit: 'kPa',
    variant: '1-2',
    cell: { row: 0, column: 0 },
    place: 'Load 0 %',
    base: 1,
    ours: 2,
    theirs: 3,
    ...part,
  };
}

describe('conflicts of a merge', () => {
  const conflicts = [aConflict('a'), aConflict('b', { variant: '2-1' }), aConflict('c')];

  it('stand together by table and variant, in the order of the first', () => {
    const groups = groupConflicts(conflicts);
    expect(groups.map((group) => group.conflicts.map(({ id }) => id))).toEqual([['a', 'c'], ['b']]);
  });

  it('are told to the server only once every one is settled with a side or a number', () => {
    const sides = withSide({}, [conflicts[0]!, conflicts[1]!], 'ours');
    expect(settledChoices(conflicts, sides)).toBeUndefined();
    expect(settledChoices(conflicts, { ...sides, c: { text: 'abc' } })).toBeUndefined();
    expect(openCount(conflicts, { ...sides, c: { text: '' } })).toBe(1);
    expect(settledChoices(conflicts, { ...sides, b: 'theirs', c: { text: '2,5' } })).toEqual({
      a: 'ours',
      b: 'theirs',
      c: 2.5,
    });
  });
});

describe('lines of a calibration', () => {
  const revisions = [
    { id: 'r1', number: 1, line: 'main' },
    { id: 'r3', number: 3, line: 'winter' },
    { id: 'r2', number: 2, line: 'main' },
  ] as unknown as Parameters<typeof linesOf>[0]['revisions'];

  it('are listed newest first, each with its newest revision', () => {
    expect(linesOf({ revisions })).toEqual(['winter', 'main']);
    expect(headOf({ revisions }, 'main')?.id).toBe('r2');
    expect(headOf({ revisions }, 'gone')).toBeUndefined();
  });

  it('go on from their newest revision only: from another one a branch needs a name', () => {
    expect(lineAfter({ revisions }, 'r2')).toBe('main');
    expect(lineAfter({ revisions }, 'r1')).toBe('');
  });

  it('are merged into the main one unless somebody says otherwise', () => {
    expect(suggestedMerge({ revisions })).toEqual({ ours: 'r2', theirs: 'r3' });
    expect(suggestedMerge({ revisions: [revisions[0]!] })).toBeUndefined();
  });
});

describe('renames in an address', () => {
  it('are read and written alike, and what is no pair is dropped', () => {
    expect(parseRenames('a:b,c:d')).toEqual({ a: 'b', c: 'd' });
    expect(parseRenames('a:b,junk,:x,y:')).toEqual({ a: 'b' });
    expect(parseRenames(undefined)).toEqual({});
    expect(stringifyRenames({ a: 'b', c: 'd' })).toBe('a:b,c:d');
    expect(stringifyRenames({})).toBeUndefined();
  });
});

describe('the place of an import problem', () => {
  const nowhere = { line: null, address: null, tableId: null, variant: null, message: '' };
  it.each([
    [{ line: 12, tableId: 'base', variant: '2-3' }, 'line 12, table base, 2-3'],
    [{ address: 160 }, 'address 0x00A0'],
    [{ tableId: 'base', variant: 'all' }, 'table base'],
    [{}, ''],
  ])('%j is “%s”', (part, words) => {
    expect(importProblemPlace({ ...nowhere, ...part })).toBe(words);
  });

  it('stands before a message that does not name it itself', () => {
    const problem = { ...nowhere, line: 3, tableId: 'base' };
    expect(importProblemWords({ ...problem, message: 'found abc.' })).toBe('Line 3, table base: found abc.');
    expect(importProblemWords({ ...problem, message: 'Line 3: found abc.' })).toBe('Line 3: found abc.');
  });
});

describe('the layout version of a file', () => {
  it.each([
    ['{"content":{"layoutVersion":2}}', 2],
    ['{"layoutVersion":1,"tables":{}}', 1],
    ['{"layoutVersion":"1"}', undefined],
    ['{"cut off', undefined],
    ['table,variant', undefined],
    [':10010000214601360121470136007EFE09D2190140', undefined],
  ])('%s is %s', (text, version) => {
    expect(layoutVersionOf(text)).toBe(version);
  });
});
