import type { SignalId } from '@syncline/drivelog';
import type { Car } from './car.js';
import { CYCLE_S, type DriveTrace } from './drive-trace.js';
import { makeRandom, type Random } from './random.js';

/** A drive as a logger recorded it: canonical signals and units, with noise, steps and faults. */
export interface DriveLog {
  /** Time as logged (s); irregular, and with repeats and steps back where the logger has such faults. */
  readonly timeS: Float64Array;
  readonly signals: Partial<Record<SignalId, Float64Array>>;
  /** Spans of true time in which nothing was recorded (s). */
  readonly gaps: readonly { readonly startS: number; readonly endS: number }[];
}

const SUPPLY_V = 13.8;

/**
 * Reads a trace the way a car's sensors and logger do. Speeds are taken between the steps of the trace, the rest holds
 * since the last control cycle. The same seed gives the same log.
 */
export function sampleLog(
  trace: DriveTrace,
  car: Car,
  facts: { programCode: number; ratedInputTorqueNm: number; seed: string | number },
): DriveLog {
  const random = makeRandom(`log:${car.id}:${facts.seed}`);
  const durationS = trace.slow.gear.length * CYCLE_S;
  const gaps = drawGaps(car, durationS, random);
  const trueS = drawTimes(car, durationS, gaps, random);
  const { sensors } = car;
  const speed = (fast: Float64Array, noiseRpm: number): Float64Array =>
    mapTimes(trueS, (t) => {
      const rpm = valueBetween(fast, t / trace.stepS) + noiseRpm * random.gaussian();
      return Math.max(0, round(rpm, sensors.speedStepRpm));
    });
  const slow = (values: Float64Array, step: number, noise = 0): Float64Array =>
    mapTimes(trueS, (t) => round(values[Math.floor(t / CYCLE_S + 1e-9)] + noise * random.gaussian(), step));
  const load = slow(trace.slow.load, 0.1, sensors.loadNoise);
  return {
    timeS: loggedTimes(car, trueS, random),
    signals: {
      engineSpeed: speed(trace.engineRpm, sensors.engineNoiseRpm),
      inputSpeed: speed(trace.inputRpm, sensors.inputNoiseRpm),
      outputSpeed: speed(trace.outputRpm, sensors.outputNoiseRpm),
      gear: slow(trace.slow.gear, 1),
      gearTarget: slow(trace.slow.gearTarget, 1),
      load,
      inputTorque: load.map((percent) => round((percent / 100) * facts.ratedInputTorqueNm, 1)),
      pedal: slow(trace.slow.pedal, 0.5),
      brake: slow(trace.slow.brake, 1),
      fluidTemperature: slow(trace.slow.fluidTemperature, 1),
      program: new Float64Array(trueS.length).fill(facts.programCode),
      applyPressure: slow(trace.slow.applyPressure, 1),
      linePressure: slow(trace.slow.linePressure, 5),
      converterDuty: slow(trace.slow.converterDuty, 0.5),
      supplyVoltage: mapTimes(trueS, () => round(SUPPLY_V + 0.08 * random.gaussian(), 0.05)),
      valveOn: slow(trace.slow.valveOn, 1),
      mark: new Float64Array(trueS.length),
    },
    gaps,
  };
}

function drawGaps(car: Car, durationS: number, random: Random): { startS: number; endS: number }[] {
  const { gapsPerHour, gapS } = car.sampling;
  const expected = (gapsPerHour * durationS) / 3600;
  const count = Math.floor(expected) + (random.uniform() < expected % 1 ? 1 : 0);
  const starts = Array.from({ length: count }, () => random.between(0, durationS));
  return starts.sort((a, b) => a - b).map((startS) => ({ startS, endS: startS + gapS * random.between(0.5, 1.5) }));
}

function drawTimes(
  car: Car,
  durationS: number,
  gaps: readonly { startS: number; endS: number }[],
  random: Random,
): Float64Array {
  const { rateHz, jitter, missedShare } = car.sampling;
  const times: number[] = [];
  let gap = 0;
  for (let timeS = 0; timeS < durationS - CYCLE_S; ) {
    while (gap < gaps.length && timeS >= gaps[gap].endS) gap++;
    const isInGap = gap < gaps.length && timeS >= gaps[gap].startS;
    if (!isInGap && random.uniform() >= missedShare) times.push(timeS);
    timeS += Math.max(0.2, 1 + jitter * random.gaussian()) / rateHz;
  }
  return Float64Array.from(times);
}

/** The time stamps that a logger writes: to the millisecond, some repeated, and after a clock step all set back. */
function loggedTimes(car: Car, trueS: Float64Array, random: Random): Float64Array {
  const { repeatedTimeShare, clockStepsPerHour, rateHz } = car.sampling;
  const stepShare = clockStepsPerHour / (3600 * rateHz);
  let setBackS = 0;
  let lastS = 0;
  return mapTimes(trueS, (timeS) => {
    if (stepShare > 0 && random.uniform() < stepShare) setBackS += random.between(0.1, 0.8);
    const isRepeated = repeatedTimeShare > 0 && random.uniform() < repeatedTimeShare;
    if (!isRepeated) lastS = round(timeS - setBackS, 0.001);
    return lastS;
  });
}

function mapTimes(trueS: Float64Array, value: (timeS: number) => number): Float64Array {
  const values = new Float64Array(trueS.length);
  for (let i = 0; i < trueS.length; i++) values[i] = value(trueS[i]);
  return values;
}

function valueBetween(series: Float64Array, position: number): number {
  const index = Math.min(Math.floor(position), series.length - 2);
  return series[index] + (position - index) * (series[index + 1] - series[index]);
}

function round(value: number, step: number): number {
  // Dividing by a whole number keeps decimal steps such as 0.1 free of binary dust.
  return step < 1 ? Math.round(value * Math.round(1 / step)) / Math.round(1 / step) : Math.round(value / step) * step;
}
