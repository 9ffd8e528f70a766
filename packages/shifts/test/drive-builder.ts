import type { Platform } from '@syncline/calibration';
import type { SignalBatch, SignalId } from '@syncline/drivelog';
import type { CarFacts } from '../src/index.js';

/** Ratios of an invented six-speed gearbox. */
const RATIOS = [4.17, 2.34, 1.52, 1.14, 0.87, 0.69];

export const PLATFORM: Platform = {
  id: 'six',
  title: 'Invented six-speed',
  gears: RATIOS.map((ratio, index) => ({ gear: index + 1, ratio, applied: [] })),
  clutches: [],
  shifts: [],
  programs: [],
  dialects: [],
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.15,
};

export const CAR: CarFacts = {
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.15,
  tyreRadiusM: 0.34,
  finalDriveRatio: 3.5,
};

/** One gear change of a synthetic drive. Times in s, speeds in rpm. */
export interface PlannedShift {
  readonly commandS: number;
  readonly from: number;
  readonly to: number;
  /** From the command to the start of the ratio change. */
  readonly delayS?: number;
  /** Length of the ratio change. */
  readonly changeS?: number;
  /** Height of a rise above the old line (upshift) or the new line (downshift), and its length. */
  readonly flareRpm?: number;
  readonly flareS?: number;
  /** The way from one line to the other, 0 to 1 over the change; default a smooth step. */
  readonly way?: (share: number) => number;
}

export interface PlannedDrive {
  readonly durationS: number;
  readonly rateHz: number;
  readonly startGear: number;
  readonly shifts: readonly PlannedShift[];
  readonly outputRpm?: (timeS: number) => number;
  /** Standard deviation of the noise of input and output speed (rpm); default none. */
  readonly noiseRpm?: { readonly input: number; readonly output: number };
  readonly seed?: number;
  /** Further signals, or others in place of the usual ones. */
  readonly signals?: Partial<Record<SignalId, (timeS: number) => number>>;
  /** Sample times; default regular at `rateHz`. */
  readonly times?: readonly number[];
}

const smoothStep = (x: number): number => x * x * (3 - 2 * x);

export function ratioOf(gear: number): number {
  return RATIOS[gear - 1] as number;
}

/** Noiseless speeds of a planned drive. */
export function plannedSpeeds(drive: PlannedDrive): { input: (t: number) => number; output: (t: number) => number } {
  const output = drive.outputRpm ?? ((t: number) => 1300 + 200 * Math.sin(t / 10));
  const input = (t: number): number => {
    let ratio = ratioOf(drive.startGear);
    let extra = 0;
    for (const shift of drive.shifts) {
      if (t < shift.commandS) break;
      const { delayS = 0.4, changeS = 0.5, flareRpm = 0, flareS = 0.3, way = smoothStep } = shift;
      const share = (t - shift.commandS - delayS) / changeS;
      const gone = share <= 0 ? 0 : share >= 1 ? 1 : way(share);
      ratio = ratioOf(shift.from) + gone * (ratioOf(shift.to) - ratioOf(shift.from));
      const flareFromS = shift.commandS + delayS + (shift.to > shift.from ? -flareS : changeS * 0.95);
      const phase = (t - flareFromS) / flareS;
      if (phase > 0 && phase < 1) extra = flareRpm * Math.sin(Math.PI * phase) ** 2;
    }
    return ratio * output(t) + extra;
  };
  return { input, output };
}

/** Samples of a planned drive as one batch, with target, gear, load, pedal, engine speed and more. */
export function buildDrive(drive: PlannedDrive): SignalBatch {
  const { input, output } = plannedSpeeds(drive);
  const random = gaussian(drive.seed ?? 1);
  const noise = drive.noiseRpm ?? { input: 0, output: 0 };
  const count = Math.round(drive.durationS * drive.rateHz);
  const timeS = Float64Array.from(drive.times ?? Array.from({ length: count }, (_, i) => i / drive.rateHz));
  const usual: Partial<Record<SignalId, (t: number) => number>> = {
    inputSpeed: (t) => input(t) + noise.input * random(),
    outputSpeed: (t) => output(t) + noise.output * random(),
    engineSpeed: (t) => input(t) + 150,
    gearTarget: (t) => gearAt(drive, t, 0),
    gear: (t) => gearAt(drive, t, 0.9),
    load: () => 45,
    pedal: () => 30,
    fluidTemperature: () => 80,
    program: () => 0,
    applyPressure: () => 400,
    supplyVoltage: () => 13.8,
  };
  const signals: Partial<Record<SignalId, Float64Array>> = {};
  for (const [id, at] of Object.entries({ ...usual, ...drive.signals })) signals[id as SignalId] = timeS.map(at);
  return { startIndex: 0, timeS, signals };
}

/** The gear asked for, or held once `lagS` has passed. */
function gearAt(drive: PlannedDrive, t: number, lagS: number): number {
  let gear = drive.startGear;
  for (const shift of drive.shifts) if (t >= shift.commandS + lagS) gear = shift.to;
  return gear;
}

/** A batch without some of its signals. */
export function without(batch: SignalBatch, ...ids: SignalId[]): SignalBatch {
  const signals = { ...batch.signals };
  for (const id of ids) delete signals[id];
  return { ...batch, signals };
}

/** Samples `from` to `to` (exclusive) of a batch. */
export function slice(batch: SignalBatch, from: number, to: number): SignalBatch {
  const signals: Partial<Record<SignalId, Float64Array>> = {};
  for (const [id, values] of Object.entries(batch.signals)) signals[id as SignalId] = values.slice(from, to);
  return { startIndex: batch.startIndex + from, timeS: batch.timeS.slice(from, to), signals };
}

/** Uniform numbers in 0 to 1 from a seed (mulberry32, public domain). */
export function uniform(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Standard normal numbers from a seed, by Box and Muller. */
export function gaussian(seed: number): () => number {
  const next = uniform(seed);
  return () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
}
