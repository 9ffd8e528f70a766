import {
  defaultContent,
  type Layout,
  type Platform,
  type RevisionContent,
  type ShiftKind,
  type TableContent,
  type TableSpec,
  variantsOf,
} from '@syncline/calibration';
import { fluidEffects } from './fluid.js';
import type { Gearbox } from './gearbox.js';
import { supplyShare } from './powertrain.js';
import { POWER_DOWNSHIFT_LOAD } from './shift-sequence.js';
import { DEMO_TARGET_TIMES, targetTime } from './target-times.js';
import { radPerS } from './units.js';

/** The car that tables are matched to. */
export interface ReferenceCar {
  readonly inputInertiaKgM2: number;
  readonly engineInertiaKgM2: number;
  /** Input speeds (rpm) that light and full pedal should shift between. */
  readonly lightUpRpm: number;
  readonly fullUpRpm: number;
}

export const USUAL_REFERENCE: ReferenceCar = {
  inputInertiaKgM2: 0.2,
  engineInertiaKgM2: 0.22,
  lightUpRpm: 1300,
  fullUpRpm: 3700,
};

/** Least torque that a governing clutch is asked for (N·m). */
const LEAST_NM = 12;
/** Torque still rises by about this much during a downshift that a pressed pedal asked for (N·m). */
const TIP_IN_NM = 18;
/** The off-going clutch is kept ready for this many times the input torque. */
const HOLD_MARGIN = 1.4;
const LOWEST_LOCK_UP_GEAR = 3;
const NEVER_RPM = 9000;
/** The ramp adds torque at this rate, whatever the clutch (N·m/s). */
const RAMP_NM_PER_S = 50;

/**
 * A revision that suits the gearbox as designed, worked out from its physics: pressure for the torque
 * T = T_in ± J·Δω/t* of methods.md 5, fill times for the fluid's temperature, a schedule with hysteresis.
 * Rounded to what the layout's storage holds.
 */
export function matchedContent(
  gearbox: Gearbox,
  layout: Layout,
  reference: ReferenceCar = USUAL_REFERENCE,
): RevisionContent {
  const { platform } = gearbox;
  const start = defaultContent(layout, platform);
  const fill = (id: string, value: (variant: string, ...at: number[]) => number): [string, TableContent] => {
    const spec = layout.tables.find((entry) => entry.id === id);
    if (spec === undefined) throw new Error(`The layout has no table '${id}'.`);
    return [id, fillTable(spec, platform, value)];
  };
  const shift = (id: string): ShiftKind => findShift(platform, id);
  return {
    ...start,
    tables: {
      ...start.tables,
      ...Object.fromEntries([
        fill('basePressure', (id, load, input) => basePressure(gearbox, shift(id), reference, load, input)),
        fill('speedFactor', (_, engine) => 1 / supplyShare(engine)),
        fill('temperatureFactor', (_, temperature) => fluidEffects(temperature).frictionFactor ** -0.85),
        fill('programFactor', (program, load) => programFactor(gearbox, reference, program, load)),
        fill('pressureRamp', (id) => RAMP_NM_PER_S / governingGain(gearbox, shift(id))),
        fill('fillTime', (clutch, temperature) => fillTimeMs(gearbox.clutches[clutch].fillTimeS, temperature)),
        fill('fillPressure', () => 450),
        fill('releaseTime', (_, load) => 280 - 0.8 * load),
        fill('holdTorque', (_, load) => Math.max(45, (HOLD_MARGIN * load * platform.ratedInputTorqueNm) / 100)),
        fill('lockUpOnSpeed', (gear, pedal) => lockUpOnSpeed(platform, Number(gear), pedal)),
        fill('lockUpRamp', (_, load) => 30 + 0.4 * load),
        fill('lockUpKeepLoad', () => 18),
        fill('upshiftLine', (id, pedal) => upshiftLine(platform, shift(id), reference, pedal)),
        fill('downshiftLine', (id, pedal) => downshiftLine(platform, shift(id), reference, pedal)),
        fill('scheduleFactor', (program) => SCHEDULE_FACTORS[program] ?? 1),
        fill('solenoidCurrent', (_, pressure) => 1 - 0.9 * (pressure / 1400) ** 0.9),
      ]),
    },
  };
}

/** Ends a little before the piston arrives: the rest is made in the torque phase, without a blow. */
function fillTimeMs(warmFillS: number, temperatureC: number): number {
  return 1000 * warmFillS * fluidEffects(temperatureC).fillTimeFactor * 0.92 - 4;
}

const SCHEDULE_FACTORS: Readonly<Record<string, number>> = { calm: 0.92, normal: 1, brisk: 1.12 };

function fillTable(
  spec: TableSpec,
  platform: Platform,
  value: (variant: string, ...at: number[]) => number,
): TableContent {
  const axes = spec.axes.map(({ breakpoints }) => [...breakpoints]);
  const nodes = axes.reduce<number[][]>((found, axis) => found.flatMap((node) => axis.map((x) => [...node, x])), [[]]);
  const kept = (wanted: number): number => storeValue(spec, wanted);
  const values = variantsOf(spec, platform).map(
    (variant) => [variant, nodes.map((node) => kept(value(variant, ...node)))] as const,
  );
  return { axes, values: Object.fromEntries(values) };
}

/** The value that storage can hold nearest to a wanted one, within the limits. */
export function storeValue(spec: TableSpec, wanted: number): number {
  const { resolution, offset } = spec.storage;
  const within = Math.min(spec.limits.max, Math.max(spec.limits.min, wanted));
  const steps = Math.round((within - offset) / resolution);
  // Decimal resolutions such as 0.001 must not leave binary dust in a document that is hashed.
  return Number((offset + steps * resolution).toFixed(6));
}

function basePressure(
  gearbox: Gearbox,
  shift: ShiftKind,
  reference: ReferenceCar,
  load: number,
  inputRpm: number,
): number {
  // Rising with load is a rule of the trade; the step down from an on-coming to an off-going clutch is levelled out.
  let pressure = 0;
  for (const x of [0, 5, 10, 15, 20, 25, 30, 40, 45, 50, 60, 70, 80, 90, 100]) {
    if (x <= load) pressure = Math.max(pressure, pressureNeeded(gearbox, shift, reference, x, inputRpm));
  }
  return pressure;
}

/** Pressure (kPa) for the governing clutch of a shift to meet the target inertia time of the normal program. */
function pressureNeeded(
  gearbox: Gearbox,
  shift: ShiftKind,
  reference: ReferenceCar,
  load: number,
  inputRpm: number,
  program = 'default',
): number {
  const { platform } = gearbox;
  const inputNm = (load / 100) * platform.ratedInputTorqueNm;
  const step = Math.abs(1 - ratio(platform, shift.to) / ratio(platform, shift.from));
  const accelerating =
    (shiftInertia(reference, step, shift.to > shift.from) * radPerS(inputRpm) * step) /
    targetTime(DEMO_TARGET_TIMES, program, load);
  const exchange = gearbox.exchanges[shift.id];
  const isUp = shift.to > shift.from;
  const creepNm = shift.to === 1 ? 25 : 0;
  const isOffgoing = !isUp && load >= POWER_DOWNSHIFT_LOAD;
  const torque = Math.max(
    LEAST_NM,
    isOffgoing ? inputNm + TIP_IN_NM - accelerating : isUp ? inputNm + accelerating : accelerating - creepNm,
  );
  const clutch = gearbox.clutches[isOffgoing ? exchange.offgoing : exchange.oncoming];
  const lever = isOffgoing ? exchange.offgoingLever : exchange.oncomingLever;
  return clutch.returnPressureKpa + torque / (clutch.gainNmPerKpa * lever);
}

/** Input torque per pressure of the on-coming clutch, in a downshift of the off-going one (N·m/kPa). */
function governingGain(gearbox: Gearbox, shift: ShiftKind): number {
  const exchange = gearbox.exchanges[shift.id];
  return shift.to > shift.from
    ? gearbox.clutches[exchange.oncoming].gainNmPerKpa * exchange.oncomingLever
    : gearbox.clutches[exchange.offgoing].gainNmPerKpa * exchange.offgoingLever;
}

/** Inertia that a shift has to move: the engine follows through the converter, the more the larger the step. */
function shiftInertia(reference: ReferenceCar, step: number, isUp: boolean): number {
  const followed = isUp ? Math.min(1, Math.max(0, 3.2 * (step - 0.18))) : 0;
  return reference.inputInertiaKgM2 + followed * reference.engineInertiaKgM2;
}

/** Pressure of a program over that of the normal one, at a usual speed in the middle shift. */
function programFactor(gearbox: Gearbox, reference: ReferenceCar, program: string, load: number): number {
  const { gears } = gearbox.platform;
  const middle = Math.floor(gears.length / 2);
  const shift = findShift(gearbox.platform, `${middle}-${middle + 1}`);
  const needed = (name: string): number => pressureNeeded(gearbox, shift, reference, load, 1900, name);
  return needed(program) / needed('default');
}

function lockUpOnSpeed(platform: Platform, gear: number, pedal: number): number {
  if (gear < LOWEST_LOCK_UP_GEAR || pedal > 80) return NEVER_RPM;
  return (1120 + 12 * pedal) / ratio(platform, gear);
}

/** How far between light and full pedal the schedule is (0 to 1). */
function eagerness(pedal: number): number {
  return Math.min(1, Math.max(0, pedal - 12) / 83) ** 1.25;
}

function upshiftLine(platform: Platform, shift: ShiftKind, reference: ReferenceCar, pedal: number): number {
  const light = reference.lightUpRpm / ratio(platform, shift.to);
  const full = reference.fullUpRpm / ratio(platform, shift.from);
  return light + (full - light) * eagerness(pedal);
}

function downshiftLine(platform: Platform, shift: ShiftKind, reference: ReferenceCar, pedal: number): number {
  const isSkip = shift.from - shift.to > 1;
  if (isSkip && pedal < 75) return 0;
  // Full pedal asks for the lower gear while its speed there stays well under the next upshift.
  const light = (shift.to === 1 ? 620 : 960) / ratio(platform, shift.from);
  const full = (reference.fullUpRpm * (isSkip ? 0.8 : 0.84)) / ratio(platform, shift.to);
  const upAgain = upshiftLine(platform, { ...shift, from: shift.to, to: shift.to + 1 }, reference, pedal);
  return Math.min(0.82 * upAgain, light + (full - light) * eagerness(pedal) ** 1.4);
}

function ratio(platform: Platform, gear: number): number {
  return platform.gears[gear - 1].ratio;
}

function findShift(platform: Platform, id: string): ShiftKind {
  const shift = platform.shifts.find((entry) => entry.id === id);
  if (shift === undefined) throw new Error(`Platform '${platform.id}' has no shift '${id}'.`);
  return shift;
}
