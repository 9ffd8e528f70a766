import { describe, expect, it } from 'vitest';
import { clutchExchange } from '../src/index.js';
import { platform } from './example.js';

describe('clutchExchange', () => {
  it.each([
    [1, 2, ['B'], ['C']],
    [2, 3, ['C'], ['A']],
    [3, 1, ['A'], ['B']],
    [2, 2, [], []],
  ])('reads the shift %i-%i off the application chart: %j comes on, %j goes off', (from, to, oncoming, offgoing) => {
    expect(clutchExchange(platform, from, to)).toEqual({ oncoming, offgoing });
  });

  it('releases everything towards a gear that the platform does not have', () => {
    expect(clutchExchange(platform, 1, 9)).toEqual({ oncoming: [], offgoing: ['A', 'C'] });
  });
});
