import type { SignalBatch } from '@syncline/drivelog';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { MarkFinder } from '../src/workers/recorder/mark-finder.js';

/** Samples of the mark channel at 10 Hz. */
function batch(levels: readonly number[], startIndex = 0): SignalBatch {
  const timeS = Float64Array.from(levels, (_, i) => (startIndex + i) / 10);
  return { timeS, signals: { mark: Float64Array.from(levels) } } as unknown as SignalBatch;
}

function marksOf(levels: readonly number[]): number[] {
  const finder = new MarkFinder();
  finder.push(batch(levels));
  return [...finder.result()];
}

describe('presses of the marker button', () => {
  it('are moments at which the channel rises, held or not', () => {
    expect(marksOf([0, 0, 1, 1, 1, 1, 0, 0, 1, 0])).toEqual([0.2, 0.8]);
  });

  it('are found in a channel that counts', () => {
    expect(marksOf([3, 3, 4, 4, 4, 4, 4, 5, 5])).toEqual([0.2, 0.7]);
  });

  it('do not include what the channel holds at the beginning', () => {
    expect(marksOf([1, 1, 0, 0])).toEqual([]);
    expect(marksOf([Number.NaN, 1, 1, 0])).toEqual([]);
  });

  it('are one press while the contacts bounce', () => {
    expect(marksOf([0, 1, 0, 1, 0, 1, 0, 0, 0, 0, 1])).toEqual([0.1, 1]);
  });

  it('are found through missing values', () => {
    expect(marksOf([0, Number.NaN, 1, Number.NaN, 1, 0])).toEqual([0.2]);
  });

  it('of a log without the channel are none', () => {
    const finder = new MarkFinder();
    finder.push({ timeS: new Float64Array(3), signals: {} } as unknown as SignalBatch);
    expect(finder.result()).toEqual([]);
  });

  it('are the same however the samples are cut into batches', () => {
    const levels = fc.array(fc.constantFrom(0, 1, 2, Number.NaN), { minLength: 1, maxLength: 60 });
    fc.assert(
      fc.property(levels, fc.nat(60), (all, cut) => {
        const finder = new MarkFinder();
        finder.push(batch(all.slice(0, cut)));
        finder.push(batch(all.slice(cut), Math.min(cut, all.length)));
        expect([...finder.result()]).toEqual(marksOf(all));
      }),
    );
  });
});
