import { describe, expect, it } from 'vitest';
import { checkContent, defaultContent, type TableRepeat, variantsOf } from '../src/index.js';
import { layout, platform } from './example.js';

describe('variantsOf', () => {
  it.each<[TableRepeat, string[]]>([
    ['once', ['all']],
    ['shift', ['1-2', '2-3', '3-2', '3-1']],
    ['upshift', ['1-2', '2-3']],
    ['downshift', ['3-2', '3-1']],
    ['gear', ['1', '2', '3']],
    ['program', ['calm', 'brisk']],
    ['clutch', ['A', 'B', 'C']],
  ])('names the variants of a table repeated by %s', (repeat, variants) => {
    expect(variantsOf({ repeat }, platform)).toEqual(variants);
  });
});

describe('defaultContent', () => {
  it('fills every cell of every variant with the default of its table', () => {
    const content = defaultContent(layout, platform);
    expect(content.platformId).toBe('sandpiper');
    expect(content.layoutVersion).toBe(3);
    expect(content.tables.base.axes).toEqual([
      [0, 40, 100],
      [1000, 2000, 4000, 6000],
    ]);
    expect(content.tables.base.values['2-3']).toEqual(Array.from({ length: 12 }, () => 300));
    expect(content.tables.offset).toEqual({ axes: [], values: { all: [0] } });
  });

  it('passes the check of its own layout', () => {
    expect(checkContent(layout, platform, defaultContent(layout, platform))).toEqual([]);
  });
});
