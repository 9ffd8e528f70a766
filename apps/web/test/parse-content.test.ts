import { describe, expect, it } from 'vitest';
import { parseContent } from '../src/pages/calibration/parse-content.js';

const CONTENT = { platformId: 'dunlin-3', layoutVersion: 1, tables: { scalar: { axes: [], values: { all: [42] } } } };

describe('a content file', () => {
  it('is read as it was written', () => {
    expect(parseContent(JSON.stringify(CONTENT))).toEqual({ content: CONTENT, fault: null });
  });

  it.each([
    ['{"platformId":', /no JSON/],
    ['[]', /the document/],
    [JSON.stringify({ ...CONTENT, layoutVersion: 0 }), /layoutVersion/],
    [
      JSON.stringify({ ...CONTENT, tables: { scalar: { axes: [], values: { all: ['42'] } } } }),
      /tables, scalar, values/,
    ],
  ])('%s is refused with its place', (text, expected) => {
    expect(parseContent(text)).toMatchObject({ content: null, fault: expect.stringMatching(expected) });
  });
});
