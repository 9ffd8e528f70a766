import type { SignalId } from '@syncline/drivelog';
import { type Slots, type Stretch, slotsOf } from './logged-gear.js';
import { median } from './robust.js';
import type { SampleWindow } from './sample-window.js';
import type { CarFacts, OperatingConditions } from './shift.js';

/** Conditions are medians over this long before the command (s). */
const BEFORE_S = 0.2;
/** Torque above this share of the rated one drives the car; below, the car drives the engine or nearly so. */
const POWER_ON_SHARE = 0.05;
/** Without a torque, a pedal pressed further than this (%) stands for drive. */
const POWER_ON_PEDAL = 5;

/**
 * Conditions at the command. Load and input torque are each worked out from the other when only one is logged
 * (100 % is the rated torque of the car). Where a hole leaves no speeds before the command, those given stand in.
 */
export function conditionsAt(
  window: SampleWindow,
  car: CarFacts,
  commandS: number,
  range: { readonly fromIndex: number; readonly endIndex: number },
  nearest: { readonly inputRpm: number; readonly outputRpm: number },
): OperatingConditions {
  const slots = slotsOf(window, { ...range, fromS: commandS - BEFORE_S, untilS: commandS });
  const read = (id: SignalId): number | null => medianOf(window, id, slots);
  const load = read('load');
  const torque = read('inputTorque');
  return {
    load: load ?? (torque === null ? null : (100 * torque) / car.ratedInputTorqueNm),
    inputTorqueNm: torque ?? (load === null ? null : (load / 100) * car.ratedInputTorqueNm),
    engineSpeedRpm: read('engineSpeed'),
    inputSpeedRpm: read('inputSpeed') ?? nearest.inputRpm,
    outputSpeedRpm: read('outputSpeed') ?? nearest.outputRpm,
    fluidTemperatureC: read('fluidTemperature'),
    pedal: read('pedal'),
    programCode: read('program'),
    applyPressureKpa: read('applyPressure'),
    supplyVoltageV: read('supplyVoltage'),
  };
}

/** Whether the engine drove the car at the command: by torque or load, else by pedal, else by converter slip. */
export function isPowerOn(at: OperatingConditions, car: CarFacts): boolean {
  if (at.inputTorqueNm !== null) return at.inputTorqueNm > POWER_ON_SHARE * car.ratedInputTorqueNm;
  if (at.pedal !== null) return at.pedal > POWER_ON_PEDAL;
  return at.engineSpeedRpm !== null && at.engineSpeedRpm > at.inputSpeedRpm;
}

function medianOf(window: SampleWindow, id: SignalId, { from, to }: Slots): number | null {
  const column = window.columns[id];
  if (column === undefined) return null;
  const value = median(column.subarray(from, to));
  return Number.isNaN(value) ? null : value;
}

/** Mean of a signal over a stretch; null where it has no value. */
export function meanOf(window: SampleWindow, id: SignalId, stretch: Stretch): number | null {
  const column = window.columns[id];
  if (column === undefined) return null;
  const { from, to } = slotsOf(window, stretch);
  let [sum, count] = [0, 0];
  for (let slot = from; slot < to; slot++) {
    const value = column[slot] as number;
    if (Number.isNaN(value)) continue;
    sum += value;
    count++;
  }
  return count === 0 ? null : sum / count;
}
