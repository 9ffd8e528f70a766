import { describe, expect, it } from 'vitest';
import { copperResistance, fluidEffects, kinematicViscosity, meanCoilCurrent } from '../src/index.js';

// ASTM D341 with T = t + 273.15; shared/reference/check-values.md 9.2.
describe('kinematic viscosity', () => {
  it.each([
    [32, 5.4, -20, 2291.4717],
    [32, 5.4, 0, 335.99962],
    [32, 5.4, 80, 8.533215],
    [32, 5.4, 120, 3.723861],
    [73.3, 8.86, 20, 240.981242],
    [73.3, 8.86, 60, 30.082611],
    [22.83, 5.05, -20, 643.894173],
    [22.83, 5.05, 120, 3.635921],
    [34, 7.2, 0, 221.434257],
    [34, 7.2, 80, 10.878084],
  ])('of a fluid with %d at 40 °C and %d at 100 °C is, at %d °C, %d mm²/s', (at40, at100, temperature, viscosity) => {
    const points = [
      { temperatureC: 40, viscosityMm2PerS: at40 },
      { temperatureC: 100, viscosityMm2PerS: at100 },
    ] as const;
    expect(kinematicViscosity([...points], temperature) / viscosity).toBeCloseTo(1, 6);
  });
});

it('makes filling and pressure slower the colder the fluid, and is neutral at 90 °C', () => {
  expect(fluidEffects(90)).toEqual({ fillTimeFactor: 1, lagFactor: 1, frictionFactor: 1 });
  for (let t = -20; t < 110; t += 10) {
    expect(fluidEffects(t).fillTimeFactor).toBeGreaterThan(fluidEffects(t + 10).fillTimeFactor);
    expect(fluidEffects(t).lagFactor).toBeGreaterThan(fluidEffects(t + 10).lagFactor);
  }
});

// IEC 60028:1925 coefficient 0.00393; shared/reference/check-values.md 8.1.
it.each([
  [5, -40, 3.821],
  [5, 25, 5.09825],
  [5, 80, 6.179],
  [5, 120, 6.965],
  [5.197862, -40, 3.972206],
  [5.197862, 120, 7.240622],
])('a copper coil of %d Ω at 20 °C has, at %d °C, %d Ω', (at20, temperature, resistance) => {
  expect(copperResistance(at20, temperature)).toBeCloseTo(resistance, 5);
});

// N. Mohan, T. M. Undeland, W. P. Robbins, Power Electronics, step-down converter; shared/reference/check-values.md 8.2.
it.each([
  [12, 5, 0.5, 0, 1.2],
  [14, 5, 0.25, 0, 0.7],
  [13.5, 5.3, 0.35, 0, 0.891509434],
  [13.5, 5.3, 0.35, 0.7, 0.8056603774],
])(
  'a coil at %d V, %d Ω, duty %d and a diode of %d V carries %d A in the mean',
  (supplyV, ohm, duty, diodeV, current) => {
    expect(meanCoilCurrent({ supplyV, resistanceOhm: ohm, duty, diodeV })).toBeCloseTo(current, 9);
  },
);
