import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  conversionToSignal,
  findUnit,
  isRoadSpeedUnit,
  isUnitOfSignal,
  SIGNAL_IDS,
  type SignalId,
  unitsForSignal,
} from '../src/index.js';

/**
 * Factors of NIST SP 811 (2008), appendix B.9: psi 6.894 757 kPa, ft·lbf 1.355 818 N·m, mile per hour 0.447 04 m/s,
 * °F and K by their definitions. rad/s and Hz by 2π rad a turn.
 */
it.each<[number, string, SignalId, number]>([
  [1000, 'rpm', 'inputSpeed', 1000],
  [1000, '1/min', 'inputSpeed', 1000],
  [1000, 'U/min', 'engineSpeed', 1000],
  [2 * Math.PI, 'rad/s', 'inputSpeed', 60],
  [16.5, 'Hz', 'outputSpeed', 990],
  [350, 'kPa', 'linePressure', 350],
  [3.5, 'bar', 'linePressure', 350],
  [3500, 'mbar', 'applyPressure', 350],
  [0.35, 'MPa', 'linePressure', 350],
  [1, 'psi', 'linePressure', 6.8947572931684],
  [1, 'ft-lb', 'inputTorque', 1.3558179483314],
  [1, 'lb·ft', 'inputTorque', 1.3558179483314],
  [250, 'Nm', 'inputTorque', 250],
  [-40, '°F', 'fluidTemperature', -40],
  [212, 'degF', 'fluidTemperature', 100],
  [273.15, 'K', 'fluidTemperature', 0],
  [80, 'C', 'fluidTemperature', 80],
  [0.25, '0..1', 'load', 25],
  [25, 'percent', 'pedal', 25],
  [13_800, 'mV', 'supplyVoltage', 13.8],
  [3, '', 'gear', 3],
])('%f %s of %s is %f canonical', (value, unit, signal, canonical) => {
  const conversion = conversionToSignal(signal, unit, undefined);
  expect((conversion?.factor ?? NaN) * value + (conversion?.offset ?? NaN)).toBeCloseTo(canonical, 10);
});

it.each([
  ['km/h', 36],
  ['m/s', 10],
  ['mph', 10 / 0.44704],
])('road speed in %s becomes output-shaft speed by tyre radius and final drive', (unit, value) => {
  // 10 m/s on a tyre of 1/π m radius are 5 turns a second; times 4 on the shaft, times 60 a minute.
  const conversion = conversionToSignal('outputSpeed', unit, { tyreRadiusM: 1 / Math.PI, finalDriveRatio: 4 });
  expect((conversion?.factor ?? NaN) * value).toBeCloseTo(1200, 9);
  expect(conversionToSignal('outputSpeed', unit, undefined)).toBeUndefined();
  expect(isRoadSpeedUnit(unit)).toBe(true);
});

it.each<[SignalId, string]>([
  ['inputSpeed', 'km/h'],
  ['inputSpeed', '°C'],
  ['gear', 'rpm'],
  ['linePressure', '%'],
  ['fluidTemperature', 'furlong'],
])('%s is not taken from a column in %s', (signal, unit) => {
  expect(isUnitOfSignal(signal, unit)).toBe(false);
  expect(conversionToSignal(signal, unit, { tyreRadiusM: 0.3, finalDriveRatio: 3 })).toBeUndefined();
});

it('every signal accepts its own units, its canonical one first and unconverted', () => {
  for (const signal of SIGNAL_IDS) {
    const [canonical, ...others] = unitsForSignal(signal);
    expect(conversionToSignal(signal, canonical ?? 'none', undefined)).toEqual({ factor: 1, offset: 0 });
    expect(others.every((unit) => isUnitOfSignal(signal, unit))).toBe(true);
  }
});

it('spelling, capitals and blanks around do not change a unit', () => {
  const unit = fc.constantFrom('rpm', 'km/h', '°C', 'N·m', 'kPa', 'psi', 'mV', 'µs', '%');
  const property = fc.property(unit, fc.constantFrom('', ' ', '  '), fc.boolean(), (id, blanks, isUpper) => {
    expect(findUnit(`${blanks}${isUpper ? id.toUpperCase() : id}${blanks}`)?.id).toBe(id);
  });
  fc.assert(property, { numRuns: 60, seed: 5 });
});
