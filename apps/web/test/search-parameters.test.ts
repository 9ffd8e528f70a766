import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fleetSearch } from '../src/pages/fleet/fleet-search.js';
import { shiftsSearch } from '../src/pages/shifts/shifts-search.js';
import { signInSearch } from '../src/pages/sign-in/sign-in-search.js';
import { parseSearch, stringifySearch } from '../src/shell/search-parameters.js';

describe('the address', () => {
  it('leaves out what is not set', () => {
    expect(stringifySearch({ kind: '2-3', revision: undefined, find: '', loadMin: 0 })).toBe('?kind=2-3&loadMin=0');
    expect(stringifySearch({})).toBe('');
  });

  it('comes back as it was written', () => {
    const values = fc.dictionary(fc.string({ minLength: 1 }), fc.string({ minLength: 1 }));
    fc.assert(
      fc.property(values, (search) => {
        expect(parseSearch(stringifySearch(search))).toEqual({ ...search });
      }),
    );
  });

  it('gives the page numbers and words, and drops what it does not know', () => {
    const search = parseSearch('?kind=2-3&loadMin=40&loadMax=many&grade=lovely&sort=peakJerk');
    expect(shiftsSearch.parse(search)).toEqual({ kind: '2-3', loadMin: 40, sort: 'peakJerk' });
  });

  it('keeps an id that looks like a number as text', () => {
    expect(fleetSearch.parse(parseSearch('?platform=123')).platform).toBe('123');
  });

  it.each([
    ['/shifts?grade=flare', '/shifts?grade=flare'],
    ['//elsewhere.example', undefined],
    ['/\\elsewhere.example', undefined],
    ['https://elsewhere.example', undefined],
  ])('after sign-in %s leads to %s', (to, target) => {
    expect(signInSearch.parse({ to }).to).toBe(target);
  });
});
