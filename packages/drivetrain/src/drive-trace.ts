/** Time between two control cycles (s): the driver, schedule and pressure commands move at this pace. */
export const CYCLE_S = 0.01;

/**
 * A whole drive as the simulator lived it, without noise. Fast signals stand at every step (sample i at i·stepS), slow
 * ones at every control cycle (sample i at i·CYCLE_S, holding until the next).
 */
export interface DriveTrace extends FastSignals {
  readonly stepS: number;
  readonly slow: SlowSignals;
  readonly shifts: readonly ShiftRecord[];
  readonly lockUps: readonly LockUpRecord[];
  readonly energy: EnergyBalance;
}

/** Signals at every step. */
export interface FastSignals {
  readonly engineRpm: Float64Array;
  readonly inputRpm: Float64Array;
  readonly outputRpm: Float64Array;
  /** Torque of converter and lock-up clutch together on the input shaft (N·m). */
  readonly inputTorqueNm: Float64Array;
  /** Torques at the input that the on-coming and the off-going clutch carry in a shift (N·m). */
  readonly oncomingNm: Float64Array;
  readonly offgoingNm: Float64Array;
}

/** Canonical signals that move with the control cycle; names and units as in a drive log. */
const SLOW_SIGNALS = [
  'gear',
  'gearTarget',
  'load',
  'pedal',
  'brake',
  'fluidTemperature',
  'applyPressure',
  'linePressure',
  'converterDuty',
  'valveOn',
] as const;

type SlowSignal = (typeof SLOW_SIGNALS)[number];
export type SlowSignals = Readonly<Record<SlowSignal, Float64Array>>;

/** Slow signals of a number of control cycles, all zero. */
export function makeSlowSignals(cycles: number): SlowSignals {
  const entries = SLOW_SIGNALS.map((id) => [id, new Float64Array(cycles)] as const);
  return Object.fromEntries(entries) as Record<SlowSignal, Float64Array>;
}

/** One gear change as the control unit commanded it, from a steady gear to the next steady gear. */
export interface ShiftRecord {
  readonly from: number;
  /** Gear asked for at the command; `to` differs from it when the control unit changed its mind. */
  readonly firstTarget: number;
  to: number;
  readonly commandS: number;
  /** When the control unit counted the shift as made; null if the drive ended first. */
  endS: number | null;
  retargeted: boolean;
  readonly fromRatio: number;
  toRatio: number;
  commandedKpa: number;
  /** Rise (on-coming) or fall (off-going) of the governing pressure in the inertia phase. */
  rampKpaPerS: number;
  governedBy: 'oncoming' | 'offgoing';
  /** Input torque that the governing clutch really carries per pressure over its return spring (N·m/kPa). */
  governingGain: number;
  /** Conditions at the command. */
  readonly at: ShiftConditions;
}

export interface ShiftConditions {
  readonly load: number;
  readonly pedal: number;
  readonly inputTorqueNm: number;
  readonly engineSpeedRpm: number;
  readonly inputSpeedRpm: number;
  readonly outputSpeedRpm: number;
  readonly fluidTemperatureC: number;
  readonly program: string;
}

/** One closing of the lock-up clutch. */
export interface LockUpRecord {
  readonly gear: number;
  readonly commandS: number;
  /** When the duty went back to zero; null if the drive ended first. */
  releasedS: number | null;
  shiftsInside: number;
}

/** Where the work of the engine went (J). */
export interface EnergyBalance {
  engineWorkJ: number;
  kineticChangeJ: number;
  converterLossJ: number;
  lockUpHeatJ: number;
  clutchHeatJ: number;
  /** Brakes and rolling resistance. */
  brakeHeatJ: number;
  /** Air and slope. */
  roadWorkJ: number;
}
