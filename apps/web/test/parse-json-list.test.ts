import { expect, it } from 'vitest';
import { parseJsonList } from '../src/pages/platform/parse-json-list.js';

it('a JSON array is read, whatever its entries hold', () => {
  expect(parseJsonList(' [1, {"name": "turbine"}] ')).toEqual({ list: [1, { name: 'turbine' }] });
});

it.each([
  ['', /^This is not JSON: /],
  ['[1,', /^This is not JSON: /],
  ['{"signals": []}', /must be an array/],
  ['null', /must be an array/],
])('%j is refused with what is wrong', (text, said) => {
  expect(parseJsonList(text)).toEqual({ fault: expect.stringMatching(said) });
});
