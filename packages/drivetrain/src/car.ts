import type { Converter } from './converter.js';
import type { LogDialect } from './dialect.js';
import type { Engine } from './engine.js';
import type { Vehicle } from './vehicle.js';

/** A tester's car as it really is. */
export interface Car {
  readonly id: string;
  /** Invented first name of its owner's account. */
  readonly tester: string;
  readonly title: string;
  readonly vehicle: Vehicle;
  readonly engine: Engine;
  readonly converter: Converter;
  /** Turbine and gearbox input members (kg·m²). */
  readonly inputInertiaKgM2: number;
  /** Torque capacity over design by clutch id; 1 where not named. A worn lining has less. */
  readonly clutchGain: Readonly<Record<string, number>>;
  /** Time to fill a clutch over design: clearance, leakage, supply. */
  readonly fillBias: number;
  /** Time constant of clutch pressure over design. */
  readonly lagBias: number;
  /** Torque signal of the engine over its true torque. */
  readonly torqueSignalGain: number;
  /** Time that the shift valve stays energised after a shift is made (s). */
  readonly valveHoldS: number;
  readonly sensors: Sensors;
  readonly sampling: Sampling;
  readonly dialect: LogDialect;
  /** Dialect that its owner declares; not always the true one. */
  readonly declaredDialectId: string;
}

/** Noise (standard deviation) and steps of the logged signals. */
export interface Sensors {
  readonly inputNoiseRpm: number;
  readonly outputNoiseRpm: number;
  readonly engineNoiseRpm: number;
  readonly speedStepRpm: number;
  readonly loadNoise: number;
}

/** How a logger samples: nothing of it is repaired in the log. */
export interface Sampling {
  /** 10 to 200. */
  readonly rateHz: number;
  /** Standard deviation of the sampling interval, as a share of it. */
  readonly jitter: number;
  /** Share of samples that are missing. */
  readonly missedShare: number;
  /** Share of samples that carry the time stamp of the one before. */
  readonly repeatedTimeShare: number;
  /** Breaks in the recording per hour, and how long they are (s). */
  readonly gapsPerHour: number;
  readonly gapS: number;
  /** Steps of the logger's clock backwards per hour (0.1 to 0.8 s each). */
  readonly clockStepsPerHour: number;
}

/** Sensor noise as usual in a production car. */
export const USUAL_SENSORS: Sensors = {
  inputNoiseRpm: 6,
  outputNoiseRpm: 3,
  engineNoiseRpm: 5,
  speedStepRpm: 1,
  loadNoise: 0.4,
};

/** A logger that misses nothing: 100 Hz with 2 % jitter. */
export const STEADY_SAMPLING: Sampling = {
  rateHz: 100,
  jitter: 0.02,
  missedShare: 0,
  repeatedTimeShare: 0,
  gapsPerHour: 0,
  gapS: 0,
  clockStepsPerHour: 0,
};
