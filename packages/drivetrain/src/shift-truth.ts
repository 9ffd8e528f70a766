import type { Car } from './car.js';
import { CYCLE_S, type DriveTrace, type ShiftConditions, type ShiftRecord } from './drive-trace.js';
import { peakJerk, tieUpDepth } from './motion.js';
import { type TargetTimes, targetTime } from './target-times.js';
import { radPerS } from './units.js';

/** What really happened in one gear change: methods.md 2 and 3 applied to speeds without noise. Times in s of the drive. */
export interface ShiftTruth {
  readonly from: number;
  /** Gear in which it ended; equal to `from` when the control unit turned back. */
  readonly to: number;
  /** Gear asked for at the command. */
  readonly firstTarget: number;
  /** `from-to`. */
  readonly kind: string;
  readonly program: string;
  /**
   * `retargeted` changed its target on the way; `cut` ran into the end of the drive or a gap of the log;
   * `unsynchronised` was not on its line within 2.5 s of the command.
   */
  readonly outcome: 'complete' | 'retargeted' | 'cut' | 'unsynchronised';
  /** Positive input torque at the command. */
  readonly isPowerOn: boolean;
  readonly commandS: number;
  /** Last crossing of the edge of the old line on the way to the new one; null without one. */
  readonly inertiaStartS: number | null;
  readonly flareStartS: number | null;
  /** First moment from which the input speed stays on the new line for 80 ms. */
  readonly syncS: number | null;
  /** Upshift: largest s_a between command and inertia start; downshift: largest s_b up to `syncS`. 0 within tolerance. */
  readonly flareRpm: number;
  /** Time above tolerance in the same span (ms). */
  readonly flareMs: number;
  /**
   * Upshift: how far acceleration falls below (i_b/i_a)·a_before (below a_before itself when slowing down) until the
   * inertia start (m/s²); 0 for a downshift. A flare and a lifted pedal make a dip too.
   */
  readonly tieUpDepth: number;
  readonly inertiaTimeS: number | null;
  /** From the release of the old clutch to `syncS`: from the start of an upshift's flare, else from the inertia start. */
  readonly actualTimeS: number | null;
  /** Largest |jerk| from 0.1 s before the command to 0.3 s after `syncS` (m/s³). */
  readonly peakJerk: number;
  readonly inputTorqueNm: number;
  /** What the rule commanded for the governing clutch last before it began to slip. */
  readonly commandedPressureKpa: number;
  readonly governedBy: 'oncoming' | 'offgoing';
  /** Commanded pressure with which the inertia time would have met its target; null where no time could be told. */
  readonly pressureNeededKpa: number | null;
  readonly targetTimeS: number;
  readonly at: ShiftConditions;
}

const TOLERANCE_RPM = 25;
const TOLERANCE_SHARE = 0.015;
const LASTING_S = 0.08;
const JERK_BEFORE_S = 0.1;
const JERK_AFTER_S = 0.3;
const SEARCH_AFTER_END_S = 1;
/** A shift that takes longer counts as unsynchronised (methods.md 4). */
const IN_TIME_S = 2.5;
const POWER_ON_NM = 10;

/** Distance from a synchronous line within which the input speed counts as on it (rpm). */
function tolerance(lineRpm: number): number {
  return Math.max(TOLERANCE_RPM, TOLERANCE_SHARE * lineRpm);
}

/** The truth of every shift of a drive, in the order of the commands. */
export function shiftTruths(trace: DriveTrace, car: Car, targets: TargetTimes): ShiftTruth[] {
  return trace.shifts.map((record, i) => {
    const nextCommandS = trace.shifts[i + 1]?.commandS ?? Number.POSITIVE_INFINITY;
    return new ShiftReading(trace, record, nextCommandS).read(car, targets);
  });
}

/** Reads one shift off the trace. Positions are sample numbers, whole for samples and fractional for crossings. */
class ShiftReading {
  readonly #trace: DriveTrace;
  readonly #record: ShiftRecord;
  readonly #start: number;
  readonly #end: number;
  readonly #isUp: boolean;

  constructor(trace: DriveTrace, record: ShiftRecord, nextCommandS: number) {
    this.#trace = trace;
    this.#record = record;
    this.#start = Math.round(record.commandS / trace.stepS);
    const endS = Math.min(nextCommandS, (record.endS ?? Number.POSITIVE_INFINITY) + SEARCH_AFTER_END_S);
    this.#end = Math.min(trace.inputRpm.length, Math.round(endS / trace.stepS));
    this.#isUp = record.to > record.from;
  }

  read(car: Car, targets: TargetTimes): ShiftTruth {
    const record = this.#record;
    const { stepS } = this.#trace;
    const sync = this.#findSync();
    const reach = this.#findReach();
    const inertiaStart = record.from === record.to || reach === null ? null : this.#findInertiaStart(reach);
    const flare = this.#findFlare(inertiaStart, reach, sync);
    const seconds = (at: number | null): number | null => (at === null ? null : at * stepS);
    const spanS = (begin: number | null): number | null =>
      sync === null || begin === null ? null : (sync - begin) * stepS;
    const actualTimeS = spanS(this.#isUp ? (flare.start ?? inertiaStart) : inertiaStart);
    const targetTimeS = targetTime(targets, record.at.program, record.at.load);
    return {
      from: record.from,
      to: record.to,
      firstTarget: record.firstTarget,
      kind: `${record.from}-${record.to}`,
      program: record.at.program,
      outcome: this.#outcome(sync),
      isPowerOn: record.at.inputTorqueNm > POWER_ON_NM,
      commandS: record.commandS,
      inertiaStartS: seconds(inertiaStart),
      flareStartS: seconds(flare.start),
      syncS: seconds(sync),
      flareRpm: flare.rpm,
      flareMs: flare.ms,
      tieUpDepth: this.#isUp
        ? tieUpDepth(this.#trace, car, {
            start: this.#start,
            // A flare ends it: while neither clutch carries, the car is driven less, but nothing binds.
            end: flare.start ?? inertiaStart ?? sync ?? this.#end - 1,
            ratioStep: record.toRatio / record.fromRatio,
          })
        : 0,
      inertiaTimeS: spanS(inertiaStart),
      actualTimeS,
      peakJerk: peakJerk(this.#trace, car, {
        start: this.#start - JERK_BEFORE_S / stepS,
        end: (sync ?? this.#end - 1) + JERK_AFTER_S / stepS,
      }),
      inputTorqueNm: record.at.inputTorqueNm,
      commandedPressureKpa: record.commandedKpa,
      governedBy: record.governedBy,
      pressureNeededKpa: this.#pressureNeeded(car, inertiaStart, sync, actualTimeS, targetTimeS),
      targetTimeS,
      at: record.at,
    };
  }

  #outcome(sync: number | null): ShiftTruth['outcome'] {
    if (this.#record.endS === null && sync === null) return 'cut';
    if (this.#record.retargeted) return 'retargeted';
    const limit = this.#start + IN_TIME_S / this.#trace.stepS;
    return sync === null || sync > limit ? 'unsynchronised' : 'complete';
  }

  #departure(index: number, ratio: number): number {
    return this.#trace.inputRpm[index] - ratio * this.#trace.outputRpm[index];
  }

  /** Distance outside the tolerance of a line (rpm): ≤ 0 on it. `sign` +1 counts above, −1 below, 0 both ways. */
  #outside(index: number, ratio: number, sign: number): number {
    const departure = this.#departure(index, ratio);
    const distance = sign === 0 ? Math.abs(departure) : sign * departure;
    return distance - tolerance(ratio * this.#trace.outputRpm[index]);
  }

  #findSync(): number | null {
    const { toRatio } = this.#record;
    const lasting = Math.round(LASTING_S / this.#trace.stepS);
    let run = 0;
    // A shift that turned back starts on its own line: only a return counts.
    let hasLeft = this.#record.from !== this.#record.to;
    for (let i = this.#start; i < this.#end; i++) {
      const isOn = this.#outside(i, toRatio, 0) <= 0;
      hasLeft ||= !isOn;
      run = isOn && hasLeft ? run + 1 : 0;
      if (run > lasting) return this.#crossing(i - run + 1, toRatio, 0);
    }
    return null;
  }

  /** First sample that has come to the new line from the side of the old one. */
  #findReach(): number | null {
    const side = this.#isUp ? 1 : -1;
    for (let i = this.#start; i < this.#end; i++) if (this.#outside(i, this.#record.toRatio, side) <= 0) return i;
    return null;
  }

  #findInertiaStart(reach: number): number | null {
    const side = this.#isUp ? -1 : 1;
    for (let i = reach; i >= this.#start; i--) {
      if (this.#outside(i, this.#record.fromRatio, side) <= 0)
        return this.#crossing(i + 1, this.#record.fromRatio, side);
    }
    return null;
  }

  #findFlare(
    inertiaStart: number | null,
    reach: number | null,
    sync: number | null,
  ): { rpm: number; ms: number; start: number | null } {
    const { fromRatio, toRatio } = this.#record;
    const ratio = this.#isUp ? fromRatio : toRatio;
    const first = this.#isUp ? this.#start : (reach ?? this.#end);
    const last = this.#isUp ? Math.floor(inertiaStart ?? this.#start) : Math.floor(sync ?? this.#end - 1);
    let peak = -1;
    let count = 0;
    for (let i = first; i <= last; i++) {
      if (this.#outside(i, ratio, 1) <= 0) continue;
      count++;
      if (peak < 0 || this.#departure(i, ratio) > this.#departure(peak, ratio)) peak = i;
    }
    if (peak < 0) return { rpm: 0, ms: 0, start: null };
    let start = peak;
    while (start > first && this.#outside(start - 1, ratio, 1) > 0) start--;
    return {
      rpm: this.#departure(peak, ratio),
      ms: count * this.#trace.stepS * 1000,
      start: this.#crossing(start, ratio, 1),
    };
  }

  /** Place of the crossing of a tolerance edge in the step that ends at `index`. */
  #crossing(index: number, ratio: number, sign: number): number {
    if (index <= this.#start) return this.#start;
    const before = this.#outside(index - 1, ratio, sign);
    const after = this.#outside(index, ratio, sign);
    return before === after ? index : index - 1 + before / (before - after);
  }

  /**
   * methods.md 5 solved for pressure: the torque that takes J·Δω from actual time t_a to target time t* is
   * J·Δω·(1/t* − 1/t_a), on top of the mean pressure that was commanded in t_a; what the ramp adds by itself is taken
   * off. In an upshift that mean holds the reaction to a flare too. J counts the share of the engine that followed.
   */
  #pressureNeeded(
    car: Car,
    inertiaStart: number | null,
    sync: number | null,
    actualTimeS: number | null,
    targetTimeS: number,
  ): number | null {
    if (actualTimeS === null || inertiaStart === null || sync === null || actualTimeS <= 0) return null;
    const record = this.#record;
    const { inputRpm, engineRpm, outputRpm, stepS } = this.#trace;
    const start = Math.round(inertiaStart);
    const end = Math.round(sync);
    const followed = (engineRpm[end] - engineRpm[start]) / (inputRpm[end] - inputRpm[start]);
    const inertia = car.inputInertiaKgM2 + car.engine.inertiaKgM2 * Math.min(1, Math.max(0, followed));
    const step = radPerS(Math.abs(record.fromRatio - record.toRatio) * outputRpm[end]);
    const missingKpa = (inertia * step * (1 / targetTimeS - 1 / actualTimeS)) / record.governingGain;
    const { commandedKpa, rampKpaPerS } = record;
    if (record.governedBy === 'offgoing') {
      return Math.max(0, commandedKpa - missingKpa - 0.5 * rampKpaPerS * (actualTimeS - targetTimeS));
    }
    const usedKpa = this.#meanApplyPressure(sync * stepS - actualTimeS, sync * stepS);
    return Math.max(0, usedKpa - 0.5 * rampKpaPerS * targetTimeS + missingKpa);
  }

  #meanApplyPressure(fromS: number, toS: number): number {
    const first = Math.ceil(fromS / CYCLE_S);
    const last = Math.max(first, Math.floor(toS / CYCLE_S) - 1);
    let sum = 0;
    for (let i = first; i <= last; i++) sum += this.#trace.slow.applyPressure[i];
    return sum / (last - first + 1);
  }
}
