import { describe, expect, it } from 'vitest';
import {
  CURLEW_GEARBOX,
  idealPressureFactor,
  makeShiftLayout,
  matchedContent,
  ShiftBench,
  TERN_GEARBOX,
  TERN_LAYOUT,
} from '../src/index.js';
import { aCar } from './example.js';

const bench = new ShiftBench({
  gearbox: TERN_GEARBOX,
  layout: TERN_LAYOUT,
  content: matchedContent(TERN_GEARBOX, TERN_LAYOUT),
});
const point = { shift: '3-4', program: 'normal', load: 50, outputSpeedRpm: 1500, fluidTemperatureC: 80 };
const car = aCar();

describe('a single shift on the bench', () => {
  it('happens at the operating point that was asked for', () => {
    const shift = bench.makeShift(car, point);
    expect(shift).toMatchObject({ kind: '3-4', program: 'normal', outcome: 'complete' });
    expect(shift?.at.outputSpeedRpm).toBeGreaterThan(0.97 * point.outputSpeedRpm);
    expect(shift?.at.outputSpeedRpm).toBeLessThan(1.03 * point.outputSpeedRpm);
    expect(Math.abs((shift?.at.load ?? 0) - point.load)).toBeLessThan(3);
  });

  it('is the same each time', () => {
    expect(bench.makeShift(car, point)).toEqual(bench.makeShift(car, point));
  });

  // Methods.md 5: the pressure that is wanted is the one that meets the target time.
  it.each(['1-2', '2-3', '3-4', '4-5'])('takes its target time with the ideal pressure in %s', (shift) => {
    const factor = idealPressureFactor(bench, car, { ...point, shift });
    expect(factor).not.toBeNull();
    const made = bench.makeShift(car, { ...point, shift }, factor ?? 1);
    expect((made?.actualTimeS ?? 0) / (made?.targetTimeS ?? 1)).toBeCloseTo(1, 2);
  });

  it('takes longer with less pressure and is over sooner with more', () => {
    const timeAt = (factor: number) => bench.makeShift(car, point, factor)?.actualTimeS ?? Number.NaN;
    expect(timeAt(0.85)).toBeGreaterThan(timeAt(1));
    expect(timeAt(1)).toBeGreaterThan(timeAt(1.15));
  });

  it('needs more pressure in a car whose clutch has worn', () => {
    const factorOf = (gain: number) =>
      idealPressureFactor(bench, aCar({ clutchGain: { E: gain } }), point) ?? Number.NaN;
    expect(factorOf(0.8)).toBeGreaterThan(1.1 * factorOf(1));
  });

  it('is not ideal while it flares, though the unit answers the flare and ends it near its target time', () => {
    const layout = makeShiftLayout(CURLEW_GEARBOX.platform);
    const content = matchedContent(CURLEW_GEARBOX, layout);
    const curlew = new ShiftBench({ gearbox: CURLEW_GEARBOX, layout, content });
    const small = { ...point, shift: '6-7', load: 20, outputSpeedRpm: 1140 };
    const flaring = curlew.makeShift(car, small, 0.68);
    expect(flaring?.flareRpm).toBeGreaterThan(100);
    expect(Math.abs((flaring?.actualTimeS ?? 0) / (flaring?.targetTimeS ?? 1) - 1)).toBeLessThan(0.1);
    const factor = idealPressureFactor(curlew, car, small) ?? Number.NaN;
    expect(factor).toBeGreaterThan(0.8);
    expect(curlew.makeShift(car, small, 1.02 * factor)?.flareRpm).toBe(0);
    // Sought from a map that is far too low it is the same pressure.
    const { basePressure } = content.tables;
    const values = Object.entries(basePressure.values).map(([kind, own]) => [kind, own.map((kpa) => 0.68 * kpa)]);
    const low = { ...basePressure, values: Object.fromEntries(values) };
    const poor = new ShiftBench({
      gearbox: CURLEW_GEARBOX,
      layout,
      content: { ...content, tables: { ...content.tables, basePressure: low } },
    });
    expect(0.68 * (idealPressureFactor(poor, car, small) ?? Number.NaN)).toBeCloseTo(factor, 1);
  });

  it('names the shifts there are when asked for another', () => {
    expect(() => bench.makeShift(car, { ...point, shift: '9-1' })).toThrow(/has no shift '9-1'; it has 1-2/);
  });
});
