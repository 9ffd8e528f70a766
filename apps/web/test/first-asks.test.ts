import { describe, expect, it } from 'vitest';
import { EARLY_PAGES, fileOf, firstAsks, matrixOf, proposalAsks } from '../src/early/first-asks.js';

const asksOf = (address: string) => {
  const { pathname, searchParams } = new URL(address, 'http://club.example');
  return firstAsks(pathname.slice(1), searchParams);
};

describe('what is asked for before the script of a page is there', () => {
  it.each(['/sign-in', '/setup', '/join/secret', '/reset/secret', '/apply'])('nothing on %s', (address) => {
    expect(asksOf(address)).toEqual([]);
  });

  it('who is signed in, on every other page', () => {
    expect(asksOf('/account')).toEqual(['/session']);
    expect(asksOf('/fleet')[0]).toBe('/session');
  });

  it('a drive and its notes, but not its many shifts, and nothing on the page of uploads', () => {
    expect(asksOf('/logs/abc?from=10')).toEqual(['/session', '/logs/abc', '/logs/abc/notes']);
    expect(asksOf('/logs/upload')).toEqual(['/session']);
  });

  it('a list only where nothing was chosen', () => {
    expect(asksOf('/shifts')).toContain('/shifts?sort=newest&limit=100');
    expect(asksOf('/shifts?kind=2-3').filter((ask) => ask.startsWith('/shifts'))).toEqual([]);
  });

  it('what two revisions did and hold, but nothing of a draft, which may change at any time', () => {
    const compared = (address: string) => asksOf(address).filter((ask) => ask.startsWith('/compare'));
    const both = 'base=r1&other=r2';
    expect(compared(`/compare?${both}`)).toEqual([`/compare/outcomes?${both}`, `/compare/tables?${both}`]);
    expect(compared('/compare?base=r1&other=draft:d1')).toEqual([]);
  });

  it('what a proposal is read with', () => {
    const proposal = { baseRevisionId: 'r7', platformId: 'tern-6', layoutVersion: 2 };
    expect(proposalAsks(proposal)).toEqual(['/revisions/r7', '/platforms/tern-6', '/platforms/tern-6/layouts/2']);
  });

  it('the matrix of the fleet where no more than a gearbox was chosen, without knowing which is the first', () => {
    const matrices = (address: string) => asksOf(address).filter((ask) => ask.startsWith('/fleet/matrix'));
    expect(matrices('/fleet')).toEqual(['/fleet/matrix?measure=flare']);
    expect(matrices('/fleet?platform=tern-6')).toEqual([matrixOf('tern-6')]);
    expect(matrices('/fleet?revision=r1')).toEqual([]);
    expect(matrices('/fleet?platform=tern-6&revision=r1')).toEqual([]);
  });
});

describe('the file of a page that is loaded before the script of all pages has run', () => {
  it.each([
    ['fleet', 'fleet-page'],
    ['logs/abc', 'log-page'],
    ['logs/abc/report', 'report-page'],
    ['proposals/p1', 'proposal-page'],
  ])('of %s is %s', (path, file) => {
    expect(fileOf(path)).toBe(file);
    expect(EARLY_PAGES).toContain(file);
  });

  it.each(['', 'logs/upload', 'vehicles/new', 'sign-in'])('is left to the router on “%s”', (path) => {
    expect(fileOf(path)).toBeUndefined();
  });
});
