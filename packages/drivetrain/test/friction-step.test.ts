import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FrictionStep } from '../src/index.js';

// J. E. Shigley, Mechanical Engineering Design, "Energy considerations" of clutches; shared/reference/check-values.md 7.2.
const INERTIAS = [0.25, 1.6];
const CLUTCH = [{ bodyA: 0, factorA: 1, bodyB: 1, factorB: -1 }];

function engage(stepS: number, course: { capacity: (timeS: number) => number; external?: [number, number] }) {
  const bodies = new FrictionStep(INERTIAS, CLUTCH, stepS);
  bodies.speeds.set([200, 120]);
  if (course.external) bodies.external.set(course.external);
  let steps = 0;
  while (Math.abs(bodies.slip(0)) > 1e-6 && steps < 1 / stepS) {
    bodies.capacities[0] = course.capacity((steps + 0.5) * stepS);
    bodies.advance();
    steps++;
  }
  return { timeS: steps * stepS, heatJ: bodies.heats[0], speed: bodies.speeds[0], bodies };
}

describe('a slipping clutch between two inertias', () => {
  it.each([
    ['a constant torque', { capacity: () => 150 }, 0.1153153153, 691.8918919, 130.8108108],
    ['a torque that rises from zero', { capacity: (t: number) => 400 * t }, 0.2940858488, 691.8918919, 130.8108108],
    [
      'torques from outside',
      { capacity: () => 320, external: [180, -60] as [number, number] },
      0.1107266436,
      1417.3010381,
      137.9930796,
    ],
  ])('with %s locks when and with the heat that the closed form says', (_, course, timeS, heatJ, speed) => {
    const stepS = 0.0002;
    const found = engage(stepS, course);
    expect(Math.abs(found.timeS - timeS)).toBeLessThanOrEqual(stepS);
    expect(Math.abs(found.heatJ / heatJ - 1)).toBeLessThan(2e-3);
    expect(Math.abs(found.speed - speed)).toBeLessThan(0.03);
  });

  it('makes exactly the heat of the closed form whatever the step when no other torque acts', () => {
    for (const stepS of [0.01, 0.002, 0.0005]) {
      expect(engage(stepS, { capacity: () => 150 }).heatJ).toBeCloseTo(691.8918919, 4);
    }
  });

  it('keeps both speeds equal once locked, and lets go when asked for more than it can carry', () => {
    const { bodies } = engage(0.001, { capacity: () => 150 });
    bodies.capacities[0] = 100;
    bodies.external.set([80, 0]);
    for (let i = 0; i < 100; i++) bodies.advance();
    expect(bodies.slip(0)).toBeCloseTo(0, 4);
    expect(bodies.torques[0]).toBeCloseTo((80 * 1.6) / 1.85, 2);
    bodies.external.set([200, 0]);
    for (let i = 0; i < 100; i++) bodies.advance();
    expect(bodies.torques[0]).toBe(100);
    expect(bodies.slip(0)).toBeGreaterThan(20);
  });

  it('conserves momentum and never makes energy, for any inertias, speeds and capacity', () => {
    const inertia = fc.double({ min: 0.05, max: 30, noNaN: true });
    const speed = fc.double({ min: -500, max: 500, noNaN: true });
    fc.assert(
      fc.property(
        inertia,
        inertia,
        speed,
        speed,
        fc.double({ min: 0, max: 800, noNaN: true }),
        (j1, j2, w1, w2, capacity) => {
          const bodies = new FrictionStep([j1, j2], CLUTCH, 0.002);
          bodies.speeds.set([w1, w2]);
          bodies.capacities[0] = capacity;
          for (let i = 0; i < 50; i++) bodies.advance();
          const momentum = j1 * bodies.speeds[0] + j2 * bodies.speeds[1];
          expect(momentum).toBeCloseTo(j1 * w1 + j2 * w2, 6);
          const lost = 0.5 * j1 * (w1 ** 2 - bodies.speeds[0] ** 2) + 0.5 * j2 * (w2 ** 2 - bodies.speeds[1] ** 2);
          expect(bodies.heats[0]).toBeCloseTo(lost, 4);
          expect(bodies.heats[0]).toBeGreaterThanOrEqual(-1e-9);
        },
      ),
    );
  });
});
