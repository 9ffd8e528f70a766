import { describe, expect, it } from 'vitest';
import { checkContent, defaultContent, type TableRepeat, variantAt, variantParts, variantsOf } from '../src/index.js';
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

  it('names one more per program where a table differs by program', () => {
    expect(variantsOf({ repeat: 'upshift', byProgram: true }, platform)).toEqual([
      '1-2/calm',
      '1-2/brisk',
      '2-3/calm',
      '2-3/brisk',
    ]);
  });

  it.each<[TableRepeat, boolean, Record<string, string>[]]>([
    ['once', false, [{}]],
    ['gear', false, [{ gear: '1' }, { gear: '2' }, { gear: '3' }]],
    ['program', false, [{ program: 'calm' }, { program: 'brisk' }]],
    [
      'downshift',
      true,
      [
        { shift: '3-2', program: 'calm' },
        { shift: '3-2', program: 'brisk' },
        { shift: '3-1', program: 'calm' },
        { shift: '3-1', program: 'brisk' },
      ],
    ],
  ])('are taken apart again: repeat %s, by program %s', (repeat, byProgram, parts) => {
    const spec = { repeat, byProgram };
    expect(variantsOf(spec, platform).map((variant) => variantParts(spec, variant))).toEqual(parts);
  });

  it.each<[string, Parameters<typeof variantAt>, ReturnType<typeof variantAt>]>([
    [
      'a shift and a program',
      [
        { repeat: 'shift', byProgram: true },
        { shift: '3-1', program: 'calm' },
      ],
      { variant: '3-1/calm' },
    ],
    ['a shift alone', [{ repeat: 'shift', byProgram: true }, { shift: '3-1' }], { missing: 'program' }],
    ['a gear', [{ repeat: 'gear' }, { gear: 2, program: 'calm' }], { variant: '2' }],
    ['nothing', [{ repeat: 'once' }, {}], { variant: 'all' }],
  ])('are picked by %s', (_, question, answer) => {
    expect(variantAt(...question)).toEqual(answer);
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
