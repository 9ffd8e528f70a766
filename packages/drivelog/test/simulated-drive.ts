import { seededRandom } from './random.js';

/** Columns of a made-up drive, in canonical units. */
export interface SimulatedDrive {
  readonly timeS: Float64Array;
  readonly inputSpeed: Float64Array;
  readonly outputSpeed: Float64Array;
  readonly engineSpeed: Float64Array;
  readonly gear: Float64Array;
  readonly pedal: Float64Array;
  readonly load: Float64Array;
  readonly fluidTemperature: Float64Array;
}

export const GEAR_RATIOS = [4.17, 2.34, 1.52, 1.14, 0.87, 0.69];

/** Output speed that swings through all gears, shifts of 0.4 s, values rounded as a bus would carry them. */
export function simulateDrive(durationS: number, rateHz = 50): SimulatedDrive {
  const random = seededRandom(7);
  const count = Math.round(durationS * rateHz);
  const column = () => new Float64Array(count);
  const drive = {
    timeS: column(),
    inputSpeed: column(),
    outputSpeed: column(),
    engineSpeed: column(),
    gear: column(),
    pedal: column(),
    load: column(),
    fluidTemperature: column(),
  };
  let ratio = GEAR_RATIOS[0];
  for (let i = 0; i < count; i++) {
    const timeS = i / rateHz;
    const outputRpm = 1400 - 1250 * Math.cos(timeS / 15);
    const gear = Math.min(6, 1 + Math.floor(outputRpm / 420));
    ratio += (GEAR_RATIOS[gear - 1] - ratio) * Math.min(1, 8 / rateHz);
    drive.timeS[i] = timeS;
    drive.outputSpeed[i] = rounded(outputRpm + random() - 0.5, 0.25);
    drive.inputSpeed[i] = rounded(ratio * outputRpm + 2 * random() - 1, 0.25);
    drive.engineSpeed[i] = rounded(Math.max(700, ratio * outputRpm * 1.02 + 40), 0.25);
    drive.gear[i] = gear;
    drive.pedal[i] = rounded(20 + 15 * Math.sin(timeS / 4), 0.5);
    drive.load[i] = rounded(30 + 20 * Math.sin(timeS / 4 + 0.3), 0.5);
    drive.fluidTemperature[i] = rounded(40 + timeS / 10, 0.5);
  }
  return drive;
}

export function rounded(value: number, step: number): number {
  return Math.round(value / step) * step;
}
