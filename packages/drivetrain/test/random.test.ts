import { describe, expect, it } from 'vitest';
import { makeRandom, randomRoute, routeDuration } from '../src/index.js';

describe('random numbers', () => {
  it('are the same for the same seed and different for another', () => {
    const draw = (seed: string) => {
      const random = makeRandom(seed);
      return Array.from({ length: 5 }, () => random.uniform());
    };
    expect(draw('a')).toEqual(draw('a'));
    expect(draw('a')).not.toEqual(draw('b'));
  });

  // Mean ½ and variance 1⁄12; mean 0, variance 1 and fourth moment 3: any book on probability.
  it('have the moments of their distributions', () => {
    const random = makeRandom('moments');
    const count = 100_000;
    const uniform = Array.from({ length: count }, () => random.uniform());
    const normal = Array.from({ length: count }, () => random.gaussian());
    const mean = (values: number[], power: number) => values.reduce((sum, x) => sum + x ** power, 0) / values.length;
    expect(mean(uniform, 1)).toBeCloseTo(0.5, 2);
    expect(
      mean(
        uniform.map((x) => x - 0.5),
        2,
      ),
    ).toBeCloseTo(1 / 12, 2);
    expect(Math.abs(mean(normal, 1))).toBeLessThan(0.015);
    expect(Math.abs(mean(normal, 2) - 1)).toBeLessThan(0.02);
    expect(Math.abs(mean(normal, 4) - 3)).toBeLessThan(0.2);
  });
});

describe('random routes', () => {
  it.each(['town', 'country', 'hill', 'mixed'] as const)(
    'of kind %s last as long as asked, never go backwards and end at a standstill',
    (kind) => {
      const route = randomRoute(kind, 400, 9);
      expect(routeDuration(route)).toBe(400);
      expect(Math.min(...route.speed)).toBe(0);
      expect(route.speed[route.speed.length - 1]).toBe(0);
      expect(Math.max(...route.speed)).toBeLessThan(45);
      expect(Math.max(...route.grade.map(Math.abs))).toBeLessThan(0.1);
      expect(randomRoute(kind, 400, 9)).toEqual(route);
    },
  );
});
