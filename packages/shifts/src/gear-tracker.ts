import type { GearLines } from './gear-lines.js';
import type { SampleClock } from './sample-clock.js';
import { KEPT_SAMPLES, type SampleWindow, valueAt } from './sample-window.js';

/** A line must be held this long to be in gear (s); methods.md 2.2. */
const DWELL_S = 0.08;
/** A visit this long is a gear whatever its slope (s). */
const LONG_DWELL_S = 0.25;
/** The slope of the departure is judged over at most this stretch (s). */
const SLOPE_STRETCH_S = 0.16;
/** The departure may drift by this share of the tolerance per dwell: a shift sweeping past a line drifts more. */
const DRIFT_SHARE = 0.5;
/** A stray sample within this many tolerances does not end a visit. */
const STRAY_TOLERANCES = 2;
/** After this long without a readable ratio (standstill) the gear is forgotten (s). */
const FORGET_S = 0.5;

/** An absence from the gear shorter than this is noise (s). */
const LEAST_ABSENCE_S = 0.1;

/** `entered` another gear than before (or a first one); `returned` to the gear that had been left. */
export type TrackerEvent = 'none' | 'entered' | 'returned';

/**
 * Follows, sample by sample, which gear the input and output speeds show. Lines are positions in `GearLines`. It reads its
 * numbers where they are: each that is handed over is made into an object.
 */
export class GearTracker {
  /** Line of the gear last held; -1 before the first and after a standstill. */
  line = -1;
  /** The last sample within tolerance of `line`. */
  lastInIndex = -1;
  lastInS = Number.NaN;
  /** After `entered` or `returned`: the gear held before, and the last sample in it before it was left. */
  previousLine = -1;
  leftIndex = -1;
  leftS = Number.NaN;
  /** First sample of the present visit to a line. */
  visitStartIndex = -1;
  unreadableS = 0;
  visitStartS = Number.NaN;
  private visitLine = -1;
  private absentIndex = -1;
  private absentS = Number.NaN;
  private visitStray = false;
  private visitStamps = 0;
  private lastReadableS = Number.NaN;

  private readonly lines: GearLines;
  private readonly window: SampleWindow;
  private readonly clock: SampleClock;

  constructor(lines: GearLines, window: SampleWindow, clock: SampleClock) {
    this.lines = lines;
    this.window = window;
    this.clock = clock;
  }

  /** Takes the sample that the clock has come to and tells what it brought about. */
  take(index: number): TrackerEvent {
    const { lines } = this;
    const { nowS: clockS } = this.clock;
    const { columns, firstIndex } = this.window;
    const inputRpm = valueAt(columns.inputSpeed, index - firstIndex);
    const outputRpm = valueAt(columns.outputSpeed, index - firstIndex);
    // Written so that a missing speed is unreadable.
    const near = outputRpm > 0 && inputRpm > -1e9 ? lines.nearest(inputRpm, outputRpm) : -1;
    if (near < 0 || !lines.isReadable(near, outputRpm)) {
      this.unreadableS += this.clock.stepS;
      if (!(clockS - this.lastReadableS < FORGET_S)) this.forget();
      return 'none';
    }
    this.lastReadableS = clockS;
    const departureRpm = inputRpm - lines.ratio(near) * outputRpm;
    const tolerance = lines.toleranceRpm(near, outputRpm);
    lines.learnNoise(near, departureRpm, outputRpm);
    if (Math.abs(departureRpm) > tolerance) {
      this.stray(near, Math.abs(departureRpm) > STRAY_TOLERANCES * tolerance);
      this.noteAbsence();
      return 'none';
    }
    this.visit(near, index);
    if (near !== this.line) {
      this.noteAbsence();
      return this.holds(index, tolerance) ? this.enter(index) : 'none';
    }
    this.lastInIndex = index;
    this.lastInS = clockS;
    return this.absentIndex >= 0 && this.holds(index, tolerance) ? this.comeBack() : 'none';
  }

  /** Forgets the gear: at standstill and where a recording breaks off. */
  forget(): void {
    this.line = -1;
    this.visitLine = -1;
    this.absentIndex = -1;
    this.lastInS = Number.NaN;
  }

  private noteAbsence(): void {
    if (this.absentIndex >= 0 || this.line < 0) return;
    this.absentIndex = this.lastInIndex;
    this.absentS = this.lastInS;
  }

  private stray(near: number, isFar: boolean): void {
    if (isFar || this.visitStray || near !== this.visitLine) this.visitLine = -1;
    this.visitStray = true;
  }

  private visit(near: number, index: number): void {
    this.visitStray = false;
    if (near === this.visitLine) {
      if (this.clock.stepS > 0) this.visitStamps++;
      return;
    }
    this.visitLine = near;
    this.visitStartIndex = index;
    this.visitStartS = this.clock.nowS;
    this.visitStamps = 1;
  }

  private enter(index: number): TrackerEvent {
    this.previousLine = this.line;
    this.leftIndex = this.lastInIndex;
    this.leftS = this.lastInS;
    this.line = this.visitLine;
    this.lastInIndex = index;
    this.lastInS = this.clock.nowS;
    this.absentIndex = -1;
    return 'entered';
  }

  private comeBack(): TrackerEvent {
    this.previousLine = this.line;
    this.leftIndex = this.absentIndex;
    this.leftS = this.absentS;
    this.absentIndex = -1;
    return this.visitStartS - this.leftS >= LEAST_ABSENCE_S ? 'returned' : 'none';
  }

  /** Whether the visit stays on its line rather than sweeping past it. */
  private holds(index: number, tolerance: number): boolean {
    const dwelledS = this.clock.nowS - this.visitStartS;
    if (this.visitStamps < 2 || dwelledS < DWELL_S - 1e-6) return false;
    if (dwelledS >= LONG_DWELL_S) return true;
    const slope = this.departureSlope(index);
    return Math.abs(slope) * DWELL_S <= DRIFT_SHARE * tolerance;
  }

  /** Least-squares slope of the departure over the last stretch of the visit (rpm/s). */
  private departureSlope(index: number): number {
    const { nowS: clockS } = this.clock;
    const { firstIndex, clockS: clocks, columns } = this.window;
    const input = columns.inputSpeed as Float64Array;
    const output = columns.outputSpeed as Float64Array;
    const ratio = this.lines.ratio(this.visitLine);
    let n = 0;
    let sx = 0;
    let sy = 0;
    let sxx = 0;
    let sxy = 0;
    const leastSlot = Math.max(this.visitStartIndex, index - KEPT_SAMPLES) - firstIndex;
    for (let slot = index - firstIndex; slot >= leastSlot; slot--) {
      const x = (clocks[slot] as number) - clockS;
      if (x < -SLOPE_STRETCH_S) break;
      const y = (input[slot] as number) - ratio * (output[slot] as number);
      if (Number.isNaN(y)) continue;
      n++;
      sx += x;
      sy += y;
      sxx += x * x;
      sxy += x * y;
    }
    return (n * sxy - sx * sy) / (n * sxx - sx * sx);
  }
}
