import { GRADE_BITS } from '../src/shifts/bit-set.js';

/** A shift of the generated fleet, as far as it differs from others. */
export interface GeneratedShift {
  readonly from: number;
  readonly to: number;
  readonly program: string | null;
  readonly load: number;
  readonly loadBand: number;
  readonly outputSpeedRpm: number;
  readonly speedBand: number;
  readonly fluidTemperatureC: number;
  readonly temperatureBand: number;
  /** Bits of `GRADE_BITS`. */
  readonly grades: number;
  readonly flareRpm: number;
  readonly shiftTimeS: number;
  readonly inertiaTimeS: number;
  readonly delayS: number;
  readonly peakJerk: number;
  readonly tieUpDepth: number | null;
  readonly slipEnergyJ: number;
}

const LOAD_EDGES = [15, 30, 45, 60, 75];
const SPEED_EDGES = [500, 1000, 1500, 2000, 2500];
const TEMPERATURE_EDGES = [20, 50, 80, 100];
const GEARS = 6;

const bandOf = (edges: readonly number[], value: number) => edges.filter((edge) => value >= edge).length;

/** What one car drives: around its own habit of load, mostly warm, each kind of shift at its usual speeds. */
export function habitOf(random: () => number) {
  const [load, jerk, flare] = [20 + 30 * random(), 9 + 4 * random(), 0.01 + 0.05 * random()];
  /** The bell of three throws, −1.5 to 1.5. */
  const bell = () => random() + random() + random() - 1.5;
  return (): GeneratedShift => {
    const low = 1 + Math.floor(random() * (GEARS - 1));
    const isUp = random() < 0.5;
    const loadNow = Math.min(100, Math.max(0, load + 28 * bell()));
    const speed = Math.max(200, 420 * low + 300 * bell() + 6 * loadNow);
    const temperature = 88 + 24 * bell() - (random() < 0.08 ? 60 * random() : 0);
    const isFlare = random() < flare;
    const isHarsh = random() < 0.03;
    return {
      from: isUp ? low : low + 1,
      to: isUp ? low + 1 : low,
      program: random() < 0.8 ? 'calm' : 'brisk',
      load: loadNow,
      loadBand: bandOf(LOAD_EDGES, loadNow),
      outputSpeedRpm: speed,
      speedBand: bandOf(SPEED_EDGES, speed),
      fluidTemperatureC: temperature,
      temperatureBand: bandOf(TEMPERATURE_EDGES, temperature),
      grades: (isFlare ? GRADE_BITS.flare : 0) | (isHarsh ? GRADE_BITS.harsh : 0) || GRADE_BITS.clean,
      flareRpm: isFlare ? 60 + 120 * random() : 0,
      shiftTimeS: 0.7 + 0.1 * bell(),
      inertiaTimeS: 0.4 + 0.08 * bell(),
      delayS: 0.25 + 0.05 * bell(),
      peakJerk: jerk + 2 * bell() + (isHarsh ? 8 : 0),
      tieUpDepth: isUp ? 0.3 * random() : null,
      slipEnergyJ: 4000 + 1500 * bell(),
    };
  };
}
