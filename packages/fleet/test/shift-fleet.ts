import { evaluateRule, type Layout, type OperatingPoint, type RevisionContent } from '@syncline/calibration';
import { type CarryingRow, designRows, pressureResponse } from '../src/estimate/design-row.js';
import type { CorrectionEstimate } from '../src/estimate/estimate-corrections.js';
import type { NodeDesign } from '../src/estimate/node-design.js';
import { type ShiftObservation, shiftMomentsOf } from '../src/estimate/shift-moments.js';
import { NO_SHIFTS } from '../src/summaries/grade-counts.js';
import { Draws } from './random.js';

/**
 * A fleet as the estimator sees it, without the physics of a shift: a shift's torque departs from the one needed by the
 * map's error, the car's trims and noise. Flares and harsh shifts are departures beyond a quarter.
 */
export interface FleetSetting {
  readonly kinds: readonly string[];
  readonly cars: number;
  /** Shifts per car; mileage is unequal, with a coefficient of variation of 0.5. */
  readonly shiftsPerCar: number;
  /** Bounds of the hidden error of the base tables: commanded over needed pressure. */
  readonly mapError: { readonly low: number; readonly high: number };
  readonly vehicleSd: number;
  readonly vehicleKindSd: number;
  readonly noiseSd: number;
  /** Share of shifts with four times the noise. */
  readonly outlierShare: number;
  /** Torque and inertia of each profile are wrong by up to this part, which scales the response. */
  readonly profileError: number;
}

export const FULL_SETTING: FleetSetting = {
  kinds: ['1-2', '2-3', '3-4', '4-5'],
  cars: 40,
  shiftsPerCar: 300,
  mapError: { low: 0.65, high: 1.35 },
  vehicleSd: 0.06,
  vehicleKindSd: 0.02,
  noiseSd: 0.05,
  outlierShare: 0.02,
  profileError: 0.3,
};

export const RULE = 'applyPressure';
const RETURN_KPA = 60;
const LOAD = [0, 15, 30, 45, 60, 80, 100];
const INPUT = [1000, 1600, 2200, 2900, 3700];
const ENGINE = [800, 1200, 1600, 2400, 3600];
const TEMPERATURE = [-20, 0, 20, 40, 60, 90, 115];

/** Departure in ln torque beyond which a shift flares, or with the other sign is harsh (a choice of this model). */
const BAD_DEPARTURE = 0.25;

const axis = (quantity: 'load' | 'inputSpeed' | 'engineSpeed' | 'fluidTemperature', breakpoints: number[]) => ({
  quantity,
  title: quantity,
  unit: '1',
  breakpoints,
  editable: true,
});

const factor = (id: string, own: ReturnType<typeof axis>): Layout['tables'][number] => ({
  id,
  title: id,
  quantity: 'factor',
  unit: '1',
  repeat: 'once',
  axes: [own],
  storage: { type: 'u16', resolution: 0.001, offset: 0 },
  limits: { min: 0.7, max: 1.4 },
  monotone: [],
  slopeLimits: [],
  defaultValue: 1,
});

/** Base pressure per shift over load and input speed, times factors of engine speed and fluid temperature. */
export const LAYOUT: Layout = {
  platformId: 'plain',
  version: 1,
  title: 'Plain shift calibration',
  tables: [
    {
      ...factor('basePressure', axis('load', LOAD)),
      quantity: 'pressure',
      unit: 'kPa',
      repeat: 'shift',
      axes: [axis('load', LOAD), axis('inputSpeed', INPUT)],
      storage: { type: 'u16', resolution: 1, offset: 0 },
      limits: { min: 70, max: 1400 },
      monotone: [{ axis: 0, direction: 'rising', strict: false }],
      slopeLimits: [{ axis: 0, maxPerUnit: 30 }],
    },
    factor('speedFactor', axis('engineSpeed', ENGINE)),
    factor('temperatureFactor', axis('fluidTemperature', TEMPERATURE)),
  ],
  rules: [
    {
      id: RULE,
      title: 'Apply pressure',
      unit: 'kPa',
      kind: 'product',
      tables: ['basePressure', 'speedFactor', 'temperatureFactor'],
      returnPressureKpa: RETURN_KPA,
    },
  ],
};

/** What the cars need, and the map that is to find it. */
export interface HiddenTruth {
  readonly needed: RevisionContent;
  readonly start: RevisionContent;
}

/** A needed map with curved factors, and a start that is wrong by a smooth error with flat factors. */
export function hiddenTruth(draws: Draws, { kinds, mapError }: Pick<FleetSetting, 'kinds' | 'mapError'>): HiddenTruth {
  const needed: Record<string, number[]> = {};
  const start: Record<string, number[]> = {};
  for (const [k, kind] of kinds.entries()) {
    const error = smoothError(draws, Math.log(mapError.low), Math.log(mapError.high));
    start[kind] = [];
    needed[kind] = [];
    for (const [i, load] of LOAD.entries()) {
      for (const [j, input] of INPUT.entries()) {
        const pressure = (1 - 0.08 * k) * (180 + 6.2 * load + 0.02 * input);
        needed[kind].push(pressure);
        start[kind].push(Math.round(pressure * Math.exp(error(i / (LOAD.length - 1), j / (INPUT.length - 1)))));
      }
    }
    makeRising(start[kind]);
  }
  const curved = (axisPoints: number[], ends: [number, number]) =>
    axisPoints.map((_, i) => {
      const x = i / (axisPoints.length - 1);
      return 1 + ends[0] * (1 - x) ** 2 + ends[1] * x ** 2;
    });
  const content = (base: Record<string, number[]>, speed: number[], temperature: number[]): RevisionContent => ({
    platformId: 'plain',
    layoutVersion: 1,
    tables: {
      basePressure: { axes: [LOAD, INPUT], values: base },
      speedFactor: { axes: [ENGINE], values: { all: speed } },
      temperatureFactor: { axes: [TEMPERATURE], values: { all: temperature } },
    },
  });
  return {
    needed: content(needed, curved(ENGINE, [0.1, -0.05]), curved(TEMPERATURE, [0.2, 0.08])),
    start: content(
      start,
      ENGINE.map(() => 1),
      TEMPERATURE.map(() => 1),
    ),
  };
}

/** A start has to be a made revision, so it meets the layout's course along load. */
function makeRising(values: number[]): void {
  for (let i = INPUT.length; i < values.length; i += 1) values[i] = Math.max(values[i], values[i - INPUT.length]);
}

/** Low waves over the unit square, stretched to reach from `low` to `high`. */
function smoothError(draws: Draws, low: number, high: number): (x: number, y: number) => number {
  const waves = Array.from({ length: 4 }, () => ({
    size: draws.normal(),
    x: Math.PI * 1.2 * draws.uniform(),
    y: Math.PI * 1.2 * draws.uniform(),
    phase: 2 * Math.PI * draws.uniform(),
  }));
  const raw = (x: number, y: number) =>
    waves.reduce((sum, w) => sum + w.size * Math.cos(w.x * x + w.y * y + w.phase), 0);
  let [least, most] = [Infinity, -Infinity];
  for (let i = 0; i <= 20; i += 1) {
    for (let j = 0; j <= 20; j += 1) {
      least = Math.min(least, raw(i / 20, j / 20));
      most = Math.max(most, raw(i / 20, j / 20));
    }
  }
  return (x, y) => low + ((high - low) * (raw(x, y) - least)) / (most - least);
}

export interface Car {
  readonly id: string;
  readonly trim: number;
  readonly kindTrims: Readonly<Record<string, number>>;
  readonly profileScale: number;
  readonly mileage: number;
}

export function makeCars(draws: Draws, setting: FleetSetting): Car[] {
  return Array.from({ length: setting.cars }, (_, j) => ({
    id: `car-${String(j).padStart(3, '0')}`,
    trim: setting.vehicleSd * draws.normal(),
    kindTrims: Object.fromEntries(setting.kinds.map((kind) => [kind, setting.vehicleKindSd * draws.normal()])),
    profileScale: 1 + setting.profileError * (2 * draws.uniform() - 1),
    mileage: draws.gammaOfMeanOne(0.25),
  }));
}

/** A usual operating point: town and country driving, mostly warm, the engine a little faster than the input. */
export function drawPoint(draws: Draws, { kinds }: Pick<FleetSetting, 'kinds'>): OperatingPoint & { shift: string } {
  const input = 1000 + 2700 * draws.uniform() ** 1.4;
  return {
    shift: kinds[Math.floor(draws.uniform() * kinds.length)],
    load: 100 * draws.uniform() ** 1.3,
    inputSpeed: input,
    engineSpeed: Math.min(3700, input * (1 + 0.25 * draws.uniform())),
    fluidTemperature: draws.uniform() < 0.3 ? -15 + 100 * draws.uniform() : 70 + 40 * draws.uniform(),
  };
}

/** An operating point with all that a shift there takes from map and truth. */
export interface PlannedShift {
  readonly point: OperatingPoint & { shift: string };
  readonly row: CarryingRow;
  /** ln of needed over commanded torque and pressure, without car and noise. */
  readonly torqueLn: number;
  readonly mapErrorLn: number;
}

/** Points that a fleet's shifts are drawn from, so that the rules are evaluated once per point and not per shift. */
export function planShifts(
  points: readonly (OperatingPoint & { shift: string })[],
  design: NodeDesign,
  needed: RevisionContent,
): PlannedShift[] {
  const rowAt = designRows(design);
  return points.flatMap((point) => {
    const want = evaluateRule(design.layout, needed, RULE, point).value;
    const have = evaluateRule(design.layout, design.content, RULE, point).value;
    const row = rowAt(point);
    if (row.kind !== 'row') return [];
    const torqueLn = Math.log((want - RETURN_KPA) / (have - RETURN_KPA));
    return [{ point, row, torqueLn, mapErrorLn: Math.log(want / have) }];
  });
}

export interface DrivenShift {
  readonly planned: PlannedShift;
  readonly observation: ShiftObservation;
  readonly isFlare: boolean;
  readonly isHarsh: boolean;
}

/** One car's shifts. */
export function driveCar(
  draws: Draws,
  plan: readonly PlannedShift[],
  car: Car,
  setting: Pick<FleetSetting, 'shiftsPerCar' | 'noiseSd' | 'outlierShare'>,
): DrivenShift[] {
  return Array.from({ length: Math.max(20, Math.round(setting.shiftsPerCar * car.mileage)) }, () => {
    const planned = plan[Math.floor(draws.uniform() * plan.length)];
    const { shift } = planned.point;
    const noise = setting.noiseSd * draws.normal() * (draws.uniform() < setting.outlierShare ? 4 : 1);
    const departure = planned.torqueLn + car.trim + (car.kindTrims[shift] ?? 0) + noise;
    const isFlare = departure > BAD_DEPARTURE;
    const isHarsh = departure < -BAD_DEPARTURE;
    return {
      planned,
      isFlare,
      isHarsh,
      observation: {
        shiftKind: shift,
        row: planned.row,
        y: pressureResponse(Math.min(0.5, Math.max(-0.5, departure * car.profileScale)), planned.row),
        weight: 1,
        counts: { ...NO_SHIFTS, shifts: 1, flare: isFlare ? 1 : 0, harsh: isHarsh ? 1 : 0 },
      },
    };
  });
}

/** Moments of every car's shifts. */
export function momentsOfFleet(cars: readonly Car[], driven: readonly (readonly DrivenShift[])[]) {
  return new Map(cars.map(({ id }, j) => [id, shiftMomentsOf(driven[j].map(({ observation }) => observation))]));
}

/**
 * True log corrections. Base and factor can trade a constant without any effect; the truth is put as the estimator puts
 * it, with factors that average to none over the driving.
 */
export function truthOf(design: NodeDesign, needed: NodeDesign, { evidence }: CorrectionEstimate): number[] {
  const truth = design.spans.flatMap((span, s) => span.values.map((v, i) => Math.log(needed.spans[s].values[i] / v)));
  for (const { role, start, values } of design.spans) {
    if (role === 'base') continue;
    const nodes = values.map((_, i) => start + i);
    const total = nodes.reduce((sum, k) => sum + evidence.shifts[k], 0);
    const mean = nodes.reduce((sum, k) => sum + evidence.shifts[k] * truth[k], 0) / total;
    for (const k of nodes) truth[k] -= mean;
    for (const base of design.spans) {
      if (base.role === 'base') for (let i = 0; i < base.values.length; i += 1) truth[base.start + i] += mean;
    }
  }
  return truth;
}
