import type { Platform } from '@syncline/calibration';
import { RunningNoise } from './robust.js';

/** Least tolerance about a synchronous line (rpm), and its share of the line; methods.md 2.1. */
const TOLERANCE_FLOOR_RPM = 25;
const TOLERANCE_SHARE = 0.015;
const TOLERANCE_NOISES = 3;
/** Share of the noise that a local fit leaves over. */
const SMOOTHED_NOISE = 0.6;
/** The tolerance never takes more than this share of the way to the next line, however noisy the log. */
const TOLERANCE_OF_SPACING = 0.3;
/** Samples nearer to a line than this share of the way to the next one tell the noise about it. */
const NOISE_OF_SPACING = 0.25;
/** A line nearer than this share of the way to its neighbour is the nearest; a little below a half, for rounding. */
const SURELY_NEAREST = 0.49;
/** Below this output speed no ratio is read (rpm): about walking pace, where turbine speed means little. */
const LEAST_OUTPUT_RPM = 120;

/** The synchronous lines of a platform, in rising order of gears, and the noise seen about each. */
export class GearLines {
  readonly gears: readonly number[];
  readonly ratios: Float64Array;
  /** Distance in ratio to the nearest neighbour, by line. */
  private readonly spacings: Float64Array;
  private readonly noises: readonly RunningNoise[];
  /** Most samples lie on the line of the one before. */
  private latest = 0;

  constructor(platform: Platform) {
    this.gears = platform.gears.map((entry) => entry.gear);
    this.ratios = Float64Array.from(platform.gears, (entry) => entry.ratio);
    this.noises = platform.gears.map(() => new RunningNoise());
    this.spacings = this.ratios.map((ratio, line) => {
      const others = this.ratios.filter((_, other) => other !== line).map((other) => Math.abs(other - ratio));
      return Math.min(...others, ratio);
    });
  }

  /** Line of a gear number, -1 when it is not a forward gear of the platform. */
  lineOf(gear: number): number {
    return this.gears.indexOf(gear);
  }

  ratio(line: number): number {
    return this.ratios[line] as number;
  }

  /** The line nearest to an input speed; `outputRpm` above 0. */
  nearest(inputRpm: number, outputRpm: number): number {
    const { ratios, latest } = this;
    const clearRpm = SURELY_NEAREST * (this.spacings[latest] as number) * outputRpm;
    if (Math.abs(inputRpm - (ratios[latest] as number) * outputRpm) < clearRpm) return latest;
    let best = 0;
    let bestDistance = Number.POSITIVE_INFINITY;
    for (let line = 0; line < ratios.length; line++) {
      const distance = Math.abs(inputRpm - (ratios[line] as number) * outputRpm);
      if (distance < bestDistance) {
        bestDistance = distance;
        best = line;
      }
    }
    this.latest = best;
    return best;
  }

  /** Whether the line stands clear enough of its neighbours at this speed to be told from them. */
  isReadable(line: number, outputRpm: number): boolean {
    return (
      outputRpm >= LEAST_OUTPUT_RPM &&
      TOLERANCE_OF_SPACING * (this.spacings[line] as number) * outputRpm >= TOLERANCE_FLOOR_RPM
    );
  }

  /** Tolerance about a line (rpm); methods.md 2.1. */
  toleranceRpm(line: number, outputRpm: number): number {
    const noise = TOLERANCE_NOISES * (this.noises[line] as RunningNoise).noise;
    const cap = Math.max(TOLERANCE_FLOOR_RPM, TOLERANCE_OF_SPACING * (this.spacings[line] as number) * outputRpm);
    return Math.min(Math.max(TOLERANCE_FLOOR_RPM, TOLERANCE_SHARE * this.ratio(line) * outputRpm, noise), cap);
  }

  /** Tolerance for speeds that a local fit has smoothed, with less noise to allow for (rpm). */
  smoothToleranceRpm(line: number, outputRpm: number): number {
    const noise = TOLERANCE_NOISES * SMOOTHED_NOISE * (this.noises[line] as RunningNoise).noise;
    return Math.max(TOLERANCE_FLOOR_RPM, TOLERANCE_SHARE * this.ratio(line) * outputRpm, noise);
  }

  /** Learns the noise about a line from a sample near it. */
  learnNoise(line: number, departureRpm: number, outputRpm: number): void {
    if (Math.abs(departureRpm) > NOISE_OF_SPACING * (this.spacings[line] as number) * outputRpm) return;
    (this.noises[line] as RunningNoise).add(departureRpm);
  }
}
