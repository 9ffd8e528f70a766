import { describe, expect, it } from 'vitest';
import { StableFiles } from '../src/stable-files.js';

const file = (path: string, sizeBytes: number, modifiedMs = 0) => ({ path, sizeBytes, modifiedMs });

describe('a file in a watched folder', () => {
  it('is complete when it was seen unchanged for long enough', () => {
    const stable = new StableFiles(1000);
    const pick = (sizeBytes: number, nowMs: number) => stable.pick([file('a', sizeBytes)], nowMs).length;
    expect([pick(1, 0), pick(1, 999), pick(2, 1000), pick(2, 1999), pick(2, 2000), pick(2, 9000)]).toEqual([
      0, 0, 0, 0, 1, 1,
    ]);
  });

  it('begins anew when its bytes were written again at the same size', () => {
    const stable = new StableFiles(1000);
    stable.pick([file('a', 1, 0)], 0);
    expect(stable.pick([file('a', 1, 5)], 1000)).toEqual([]);
    expect(stable.pick([file('a', 1, 5)], 2000)).toHaveLength(1);
  });

  it('is not believed for its own time: an old one is waited for like any other', () => {
    expect(new StableFiles(1000).pick([file('old', 1, -1e12)], 0)).toEqual([]);
  });

  it('that went and came back is waited for again', () => {
    const stable = new StableFiles(1000);
    stable.pick([file('a', 1)], 0);
    stable.pick([], 500);
    expect(stable.pick([file('a', 1)], 1000)).toEqual([]);
  });
});
