import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pumpTorque, torqueRatio } from '../src/converter.js';
import { DEMO_TARGET_TIMES, randomRoute, shiftTruths, simulateTrace } from '../src/index.js';
import { aCar, aDrive, upAndDown } from './example.js';

describe('the energy of a drive', () => {
  const trace = simulateTrace(aDrive(randomRoute('mixed', 240, 4)));
  const { energy } = trace;
  const losses = [energy.converterLossJ, energy.lockUpHeatJ, energy.clutchHeatJ, energy.brakeHeatJ];

  it('goes from engine work into motion, losses and the road without a rest, to a part in 10⁹', () => {
    const spent = energy.kineticChangeJ + energy.roadWorkJ + losses.reduce((sum, loss) => sum + loss, 0);
    expect(energy.engineWorkJ).toBeGreaterThan(1e6);
    expect(Math.abs(spent - energy.engineWorkJ) / energy.engineWorkJ).toBeLessThan(1e-9);
  });

  it('is lost, never gained, in converter, clutches and brakes', () => {
    for (const loss of losses) expect(loss).toBeGreaterThan(0);
  });

  it('leaves a vehicle that stood at the start at rest at the end', () => {
    expect(Math.abs(trace.outputRpm[trace.outputRpm.length - 1])).toBeLessThan(1);
  });
});

it('never gets more power out of the converter than goes in', () => {
  const speed = fc.double({ min: 20, max: 500, noNaN: true });
  fc.assert(
    fc.property(speed, fc.double({ min: 0, max: 600, noNaN: true }), (engine, turbine) => {
      const { converter } = aCar();
      const pump = pumpTorque(converter, engine, turbine);
      const turbineNm = pump > 0 ? pump * torqueRatio(converter, turbine / engine) : pump;
      expect(pump * engine - turbineNm * turbine).toBeGreaterThanOrEqual(0);
    }),
  );
});

it('hardly depends on the step: at half of it nine shifts in ten take the same time to 2 ms, nineteen in twenty to 10 ms', () => {
  const drive = aDrive(randomRoute('mixed', 300, 8));
  const truthAt = (stepS: number) => shiftTruths(simulateTrace({ ...drive, stepS }), drive.car, DEMO_TARGET_TIMES);
  const coarse = truthAt(0.002);
  const fine = truthAt(0.001);
  expect(coarse.length).toBeGreaterThan(35);
  expect(fine.map(({ kind }) => kind)).toEqual(coarse.map(({ kind }) => kind));
  const moves = coarse.map((shift, i) => Math.abs((shift.inertiaTimeS ?? 0) - (fine[i].inertiaTimeS ?? 0)));
  moves.sort((a, b) => a - b);
  expect(moves[Math.floor(0.9 * moves.length)]).toBeLessThan(0.002);
  expect(moves[Math.floor(0.95 * moves.length)]).toBeLessThan(0.01);
});

it('follows the driver’s route within 2.5 m/s and warms a cold fluid', () => {
  const route = upAndDown(1.1);
  const drive = aDrive(route, { startTemperatureC: 5, ambientC: 5 });
  const trace = simulateTrace(drive);
  const perRpm = ((Math.PI / 30) * drive.car.vehicle.tyreRadiusM) / drive.car.vehicle.finalDriveRatio;
  for (let second = 3; second < route.speed.length - 1; second++) {
    const speed = trace.outputRpm[Math.round(second / trace.stepS) - 1] * perRpm;
    expect(Math.abs(speed - route.speed[second])).toBeLessThan(2.5);
  }
  const temperature = trace.slow.fluidTemperature;
  expect(temperature[temperature.length - 1]).toBeGreaterThan(temperature[0] + 3);
});

it('lives the same drive twice from the same setup', () => {
  const drive = aDrive(upAndDown(1.5));
  const first = simulateTrace(drive);
  const second = simulateTrace(drive);
  expect(second.shifts).toEqual(first.shifts);
  expect(second.inputRpm.every((rpm, i) => rpm === first.inputRpm[i])).toBe(true);
});
