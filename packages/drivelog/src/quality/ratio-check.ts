import { LogarithmicBins } from '../logarithmic-bins.js';
import { conversionToSignal, type RoadToShaft } from '../units.js';
import { type QualityFinding, RESULTS_OF_SIGNAL, shown } from './quality-finding.js';

/** What the ratio of input to output speed is held against. */
export interface RatioReference {
  /** Ratios of the forward gears, as on the platform. */
  readonly gearRatios: readonly number[];
  /** Makes a guess at road speeds sharp. */
  readonly car?: RoadToShaft | undefined;
}

/** ln(input/output) is counted in bins of 0.5 %, from 1/400 to 400. */
const BIN_WIDTH = 0.005;
const HALF_BINS = 1200;
/** Stands for all ratios outside of them. */
const BEYOND = 2 * HALF_BINS + 1;
/** Ratios that are in them. */
const COUNTED = { fromExponent: -9, toExponent: 9 };
/** Least input speed (rpm): below, the turbine stands or creeps. Least output value: any unit of a moving car. */
const MIN_INPUT = 300;
const MIN_OUTPUT = 3;

/** A gear is met within this (in the logarithm). methods.md 2 allows 1.5 %; speeds of different frames add some. */
const NEAR = 0.02;
/** Samples needed; and shares of them in gear: all is well, something else is well, a gear was driven at all. */
const MIN_SAMPLES = 300;
const WELL_SHARE = 0.5;
const CLEAR_SHARE = 0.6;
const GEAR_SHARE = 0.05;
/** Shares that differ by less are alike. */
const ALIKE = 0.01;
/** Nearness of a factor to a known one (in the logarithm), and factors that a wrong tyre or axle can explain. */
const SAME_FACTOR = 0.06;
const AXLE_FACTOR = Math.log(1.4);
/** rpm of the output shaft for 1 km/h: axles of 2.5 to 5 and wheels of 0.27 to 0.42 m (common practice). */
const USUAL_KMH = { min: 15, max: 50 };

/** Compares input and output speed with the gears of the platform, in fixed memory. */
export class RatioCheck {
  private readonly bins = new Float64Array(2 * HALF_BINS + 1);
  private readonly binOfRatio = new LogarithmicBins(binOf, COUNTED);
  private total = 0;
  private readonly logRatios: readonly number[];
  private readonly car: RoadToShaft | undefined;

  constructor({ gearRatios, car }: RatioReference) {
    this.logRatios = gearRatios.map(Math.log);
    this.car = car;
  }

  /** Takes the speeds of the same moments. */
  push(inputRpm: Float64Array, outputRpm: Float64Array): void {
    for (let i = 0; i < inputRpm.length; i++) {
      const input = inputRpm[i];
      const output = outputRpm[i];
      const isEither = input >= MIN_INPUT || output >= MIN_INPUT;
      if (!(isEither && input >= MIN_OUTPUT && output >= MIN_OUTPUT)) continue;
      const bin = this.binOfRatio.of(input / output);
      if (bin === BEYOND) continue;
      this.bins[bin]++;
      this.total++;
    }
  }

  finding(): QualityFinding | undefined {
    if (this.total < MIN_SAMPLES || this.logRatios.length < 2) return undefined;
    const asRead = this.inGear(0, 1);
    if (asRead.share >= WELL_SHARE) return undefined;
    const swapped = this.inGear(0, -1);
    if (isClear(swapped)) return swappedFinding(asRead.share, swapped.share);
    const best = this.bestFactor();
    if (isClear(best)) return this.scaledFinding(best.logFactor, best.share, asRead.share);
    return implausibleFinding(asRead.share);
  }

  /** Share of samples at a gear ratio times a factor; `direction` -1 takes output over input instead. */
  private inGear(logFactor: number, direction: 1 | -1): { share: number; gears: number } {
    const reach = Math.round(NEAR / BIN_WIDTH);
    const counted = new Set<number>();
    let gears = 0;
    let sum = 0;
    for (const logRatio of this.logRatios) {
      const centre = Math.round((direction * (logRatio + logFactor)) / BIN_WIDTH) + HALF_BINS;
      let near = 0;
      for (let bin = centre - reach; bin <= centre + reach; bin++) {
        const count = this.bins[bin] ?? 0;
        near += count;
        if (!counted.has(bin)) sum += count;
        counted.add(bin);
      }
      if (near >= GEAR_SHARE * this.total) gears++;
    }
    return { share: sum / this.total, gears };
  }

  /** The factor that meets the gears best: the middle of those that do it alike. */
  private bestFactor(): { logFactor: number; share: number; gears: number } {
    const found = Array.from(this.bins, (_, i) => this.inGear((i - HALF_BINS) * BIN_WIDTH, 1));
    const best = Math.max(...found.map(({ share }) => share));
    let low = found.findIndex(({ share }) => share === best);
    let high = low;
    while (low > 0 && found[low - 1].share >= best - ALIKE) low--;
    while (high < found.length - 1 && found[high + 1].share >= best - ALIKE) high++;
    const middle = (low + high) >> 1;
    return { logFactor: (middle - HALF_BINS) * BIN_WIDTH, ...found[middle] };
  }

  private scaledFinding(logFactor: number, share: number, asRead: number): QualityFinding {
    const factor = Math.exp(logFactor);
    const seen = `Input over output speed meets the gears in ${percent(asRead)} of the samples as it is, but in ${percent(share)} when the output speed is taken ${shown(factor)} times as high.`;
    const effect = `Until that is put right, ${RESULTS_OF_SIGNAL.outputSpeed} cannot be trusted.`;
    const unit = this.unitOf(logFactor);
    if (unit !== undefined) {
      const message = `${seen} The column is probably in ${unit}.`;
      return { code: 'output_speed_unit', signal: 'outputSpeed', severity: 'error', message, effect };
    }
    if (Math.abs(logFactor) <= AXLE_FACTOR) {
      const message = `${seen} Tyre radius, final drive ratio or tooth count of the vehicle is probably wrong.`;
      return { code: 'output_speed_scaled', signal: 'outputSpeed', severity: 'error', message, effect };
    }
    return implausibleFinding(asRead);
  }

  /** The unit that would explain a factor. */
  private unitOf(logFactor: number): string | undefined {
    const isNear = (factor: number | undefined) =>
      factor !== undefined && Math.abs(logFactor - Math.log(factor)) <= SAME_FACTOR;
    for (const unit of ['km/h', 'mph', 'm/s', 'rad/s', 'Hz']) {
      if (isNear(conversionToSignal('outputSpeed', unit, this.car)?.factor)) return unit;
    }
    if (isNear(this.car?.finalDriveRatio)) return 'wheel rpm instead of shaft rpm';
    const factor = Math.exp(logFactor);
    return this.car === undefined && factor >= USUAL_KMH.min && factor <= USUAL_KMH.max ? 'km/h' : undefined;
  }
}

function binOf(ratio: number): number {
  const bin = Math.round(Math.log(ratio) / BIN_WIDTH);
  return Math.abs(bin) > HALF_BINS ? BEYOND : bin + HALF_BINS;
}

/** One gear alone meets any factor; two in their right distance do not. */
function isClear({ share, gears }: { readonly share: number; readonly gears: number }): boolean {
  return share >= CLEAR_SHARE && gears >= 2;
}

function swappedFinding(asRead: number, swapped: number): QualityFinding {
  return {
    code: 'speeds_swapped',
    signal: 'inputSpeed',
    severity: 'error',
    message: `Input over output speed meets the gears in ${percent(asRead)} of the samples, output over input in ${percent(swapped)}: the two columns are probably swapped in the signal map.`,
    effect: `Until then ${RESULTS_OF_SIGNAL.inputSpeed} cannot be trusted.`,
  };
}

function implausibleFinding(asRead: number): QualityFinding {
  return {
    code: 'ratio_implausible',
    signal: 'outputSpeed',
    severity: 'error',
    message: `Input over output speed meets a gear of the platform in only ${percent(asRead)} of the samples: another gearset, a slipping gearbox, or a column that is no shaft speed.`,
    effect: `No gear can be told for most of the drive; ${RESULTS_OF_SIGNAL.outputSpeed} cannot be trusted.`,
  };
}

function percent(share: number): string {
  return `${(share * 100).toFixed(0)} %`;
}
