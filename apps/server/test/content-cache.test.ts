import type { RevisionContent } from '@syncline/calibration';
import { expect, it } from 'vitest';
import { ContentCache } from '../src/services/content-cache.ts';

/** Ten values. */
function aContent(layoutVersion: number): RevisionContent {
  const table = { axes: [[0, 1]], values: { all: [1, 2, 3, 4, 5, 6, 7, 8] } };
  return { platformId: 'skua', layoutVersion, tables: { pressure: table } };
}

it('a content is read once as long as there is room, and the least recently used gives way', () => {
  const cache = new ContentCache(25);
  const reads: string[] = [];
  const get = (hash: string, version: number) =>
    cache.get(hash, () => {
      reads.push(hash);
      return aContent(version);
    });
  expect(get('a', 1)).toBe(get('a', 2));
  get('b', 2);
  get('a', 1);
  get('c', 3);
  expect(reads).toEqual(['a', 'b', 'c']);
  get('a', 1);
  get('b', 2);
  expect(reads).toEqual(['a', 'b', 'c', 'b']);
  expect(cache.get('none', () => undefined)).toBeUndefined();
});

it('a content larger than all the room is read, and not kept', () => {
  const cache = new ContentCache(5);
  expect(cache.get('a', () => aContent(1))?.layoutVersion).toBe(1);
  expect(cache.get('a', () => aContent(2))?.layoutVersion).toBe(2);
});
