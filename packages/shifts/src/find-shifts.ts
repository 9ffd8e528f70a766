import type { Platform } from '@syncline/calibration';
import { SIGNAL_IDS, type SignalBatch } from '@syncline/drivelog';
import { assembleShift } from './assemble-shift.js';
import { abandonedLine, headingLine } from './broken-change.js';
import { DEFAULT_POLICY } from './default-policy.js';
import { GearLines } from './gear-lines.js';
import { GearTracker } from './gear-tracker.js';
import { type ConverterSample, LockUpTracker } from './lock-up.js';
import { findTargetChange, isNeutralLogged, LONGEST_DELAY_S, lastTargetLine } from './logged-gear.js';
import type { GradingPolicy } from './policy.js';
import { SampleClock } from './sample-clock.js';
import { KEPT_SAMPLES, PIECE_SAMPLES, SampleWindow, valueAt } from './sample-window.js';
import type { CarFacts, LockUpEpisode, SampleFindings, Shift } from './shift.js';
import { type IndexRange, ShiftQueue } from './shift-queue.js';
import type { GearChange } from './shift-timing.js';
import { Trace } from './trace.js';

/** An interval longer than this ends a recording: what happened meanwhile is unknown (s). */
const BREAK_S = 2.5;
/** Samples after a gear is confirmed that its shift is measured with: jerk is sought 0.3 s past synchronisation (s). */
const SETTLE_S = 0.45;
/** A change that missed its time limit may still show its gear this much later (s). */
const LATE_S = 3;
/** Departures shorter than this are not yet a change (s). */
const STEADY_S = 0.15;

/** What a drive is read with. */
export interface DriveSetup {
  readonly platform: Platform;
  readonly car: CarFacts;
  readonly options?: {
    /** Its time limits label shifts and lock-up episodes; default `DEFAULT_POLICY`. */
    readonly policy?: GradingPolicy;
    /** Slower logs give no shifts (Hz); default 8, so that 10 Hz with jitter is still read. */
    readonly minSampleRateHz?: number;
  };
}

export interface FoundEvents {
  readonly shifts: Shift[];
  readonly lockUps: LockUpEpisode[];
}

/** Finds shifts and lock-up episodes in a log handed over batch by batch, oldest first. */
export interface ShiftFinder {
  /** Events that became certain with this batch; a shift follows its synchronisation by some seconds. */
  push(batch: SignalBatch): FoundEvents;
  /** The rest, once the log has ended. */
  end(): FoundEvents;
  findings(): SampleFindings;
}

/**
 * A finder for one log (methods.md 1 to 3). What it finds depends on the samples alone and not on how they are split
 * into batches; memory is bounded whatever the length of the log. It reads the batches and keeps none of their arrays.
 */
export function createShiftFinder(setup: DriveSetup): ShiftFinder {
  return new RunningFinder(setup);
}

/** Finds everything in a whole drive at once. */
export function analyseDrive(
  batches: Iterable<SignalBatch>,
  setup: DriveSetup,
): FoundEvents & { readonly findings: SampleFindings } {
  const finder = createShiftFinder(setup);
  const shifts: Shift[] = [];
  const lockUps: LockUpEpisode[] = [];
  const keep = (found: FoundEvents): void => {
    shifts.push(...found.shifts);
    lockUps.push(...found.lockUps);
  };
  for (const batch of batches) keep(finder.push(batch));
  keep(finder.end());
  return { shifts, lockUps, findings: finder.findings() };
}

class RunningFinder implements ShiftFinder {
  private readonly car: CarFacts;
  private readonly policy: GradingPolicy;
  private readonly longestIntervalS: number;
  private readonly window = new SampleWindow();
  private readonly clock = new SampleClock();
  private readonly trace = new Trace();
  private readonly lines: GearLines;
  private readonly tracker: GearTracker;
  private readonly queue = new ShiftQueue(this.window);
  private readonly converter: LockUpTracker;
  private readonly converterSample: ConverterSample;
  /** A change whose trailing samples are still coming in. */
  private settling: GearChange | null = null;
  private settledS = 0;
  private recordingIndex = 0;
  private nextIndex = 0;
  /** Sample at which the present departure missed its time limit. */
  private overdueIndex = -1;
  private found: FoundEvents = { shifts: [], lockUps: [] };

  constructor({ platform, car, options }: DriveSetup) {
    this.car = car;
    this.policy = options?.policy ?? DEFAULT_POLICY;
    this.longestIntervalS = 1 / (options?.minSampleRateHz ?? 8);
    this.lines = new GearLines(platform);
    this.tracker = new GearTracker(this.lines, this.window, this.clock);
    this.converter = new LockUpTracker(this.policy.lockUpLimitS, () => this.clock.intervals.median());
    this.converterSample = { index: 0, clockS: 0, duty: 0, engineRpm: 0, slipRpm: 0, isSteady: false, gear: null };
  }

  push(batch: SignalBatch): FoundEvents {
    for (let from = 0; from < batch.timeS.length; from += PIECE_SAMPLES) {
      const to = Math.min(from + PIECE_SAMPLES, batch.timeS.length);
      this.window.append(batch, from, to);
      this.takePiece(to - from);
    }
    return this.handOver();
  }

  end(): FoundEvents {
    this.breakOff(this.nextIndex);
    return this.handOver();
  }

  findings(): SampleFindings {
    const { clock } = this;
    const medianIntervalS = clock.intervals.median();
    return {
      sampleCount: clock.sampleCount,
      durationS: clock.coveredS,
      medianIntervalS,
      tooSlowForTiming: medianIntervalS > this.longestIntervalS,
      gaps: clock.gaps,
      longestGapS: clock.longestGapS,
      repeatedTimes: clock.repeatedTimes,
      stepsBack: clock.stepsBack,
      unreadableRatioS: this.tracker.unreadableS,
      missingSignals: SIGNAL_IDS.filter((id) => !this.window.seen.has(id)),
    };
  }

  private handOver(): FoundEvents {
    const { found } = this;
    this.found = { shifts: [], lockUps: [] };
    return found;
  }

  private takePiece(count: number): void {
    const { clock, tracker, window, converter } = this;
    const { timeS, clockS, firstIndex, length } = window;
    const { converterDuty, engineSpeed } = window.columns;
    const hasConverter = converterDuty !== undefined && engineSpeed !== undefined;
    for (let slot = length - count; slot < length; slot++) {
      const index = firstIndex + slot;
      clock.advance(timeS[slot] as number);
      clockS[slot] = clock.nowS;
      if (clock.restarted || clock.stepS > BREAK_S) this.breakOff(index);
      const event = tracker.take(index);
      if (event !== 'none') this.onTracker(event, index);
      this.watch(index);
      if (hasConverter && converter.minds(converterDuty[slot] as number)) this.takeConverter(index);
    }
    this.nextIndex = firstIndex + length;
  }

  private onTracker(event: 'entered' | 'returned', index: number): void {
    const { overdueIndex } = this;
    this.overdueIndex = -1;
    if (this.tracker.previousLine < 0) return;
    if (this.settling !== null) this.measureSettling(index + 1);
    const change =
      event === 'entered' ? this.enteredChange(index, overdueIndex) : this.returnedChange(index, overdueIndex);
    if (event === 'entered') this.converter.noteShift(this.clock.nowS);
    if (change === null) return;
    this.settling = change;
    this.settledS = this.clock.nowS + SETTLE_S;
  }

  private enteredChange(index: number, overdueIndex: number): GearChange | null {
    const { previousLine: fromLine, line: toLine, leftIndex, leftS } = this.tracker;
    const stretch = { ...this.rangeTo(index + 1), fromS: leftS, untilS: this.clock.nowS };
    if (isNeutralLogged(this.window, this.lines, stretch)) return null;
    const isLate = overdueIndex >= 0;
    return {
      fromLine,
      toLine,
      leftIndex,
      leftS,
      endIndex: isLate ? overdueIndex : index,
      ending: isLate ? 'overdue' : 'entered',
    };
  }

  private returnedChange(index: number, overdueIndex: number): GearChange | null {
    const { previousLine: fromLine, leftIndex, leftS, visitStartS } = this.tracker;
    if (overdueIndex >= 0) return null;
    const stretch = { ...this.rangeTo(index + 1), fromS: leftS, untilS: visitStartS };
    const toLine = abandonedLine(this.window, this.lines, fromLine, stretch);
    return toLine < 0 ? null : { fromLine, toLine, leftIndex, leftS, endIndex: index, ending: 'returned' };
  }

  /** What becomes due with time alone: trailing samples complete, time limits missed, a held shift ripe. */
  private watch(index: number): void {
    const { tracker, clock } = this;
    if (this.settling !== null && clock.nowS >= this.settledS) this.measureSettling(index + 1);
    if (tracker.line >= 0) {
      const absentS = clock.nowS - tracker.lastInS;
      if (absentS > this.policy.incompleteAfterS) this.watchOverdue(index, absentS);
    }
    const inGearS = tracker.line >= 0 ? tracker.lastInS : clock.nowS;
    if (this.settling === null && this.queue.isRipe(inGearS)) {
      this.emit(this.queue.release(this.rangeTo(index + 1), null));
    }
  }

  /**
   * A departure beyond the time limit is an unsynchronised shift as soon as its gear is known: from the target at
   * once, else from the gear entered at last. One that shows no gear in time was none.
   */
  private watchOverdue(index: number, absentS: number): void {
    const { tracker } = this;
    if (this.overdueIndex < 0) {
      this.overdueIndex = index;
      const toLine = this.pendingTarget(index + 1);
      if (toLine >= 0) {
        const { line: fromLine, lastInIndex: leftIndex, lastInS: leftS } = tracker;
        this.measure({ fromLine, toLine, leftIndex, leftS, endIndex: index, ending: 'overdue' }, index + 1);
        tracker.forget();
        this.overdueIndex = -1;
      }
    } else if (absentS > this.policy.incompleteAfterS + LATE_S) {
      tracker.forget();
      this.overdueIndex = -1;
    }
  }

  /** Forward gear that was newly asked for by the end of the samples, other than the present one; -1 for none. */
  private pendingTarget(endIndex: number): number {
    const { tracker, clock, window, lines } = this;
    const stretch = { ...this.rangeTo(endIndex), fromS: tracker.lastInS - LONGEST_DELAY_S, untilS: clock.nowS };
    if (findTargetChange(window, lines, { fromLine: tracker.line, toLine: null }, stretch) === null) return -1;
    const line = lastTargetLine(window, lines, stretch);
    return line === null || line === tracker.line ? -1 : line;
  }

  /** The recording ends before the sample at `index`: what is in progress is cut, all that is held is let go. */
  private breakOff(index: number): void {
    if (this.settling !== null) this.measureSettling(index);
    const cut = this.cutChange(index);
    if (cut !== null) this.measure(cut, index);
    this.emit(this.queue.release(this.rangeTo(index), null));
    const lockUp = this.converter.breakOff(index);
    if (lockUp !== null && !this.findings().tooSlowForTiming) this.found.lockUps.push(lockUp);
    this.tracker.forget();
    this.overdueIndex = -1;
    this.recordingIndex = index;
  }

  private cutChange(index: number): GearChange | null {
    const { tracker, window, lines, overdueIndex } = this;
    if (tracker.line < 0 || overdueIndex >= 0) return null;
    const { line: fromLine, lastInIndex: leftIndex, lastInS: leftS } = tracker;
    const absence = { ...this.rangeTo(index), fromS: leftS, untilS: Number.POSITIVE_INFINITY };
    if (isNeutralLogged(window, lines, absence)) return null;
    const asked = this.pendingTarget(index);
    const toLine = asked >= 0 ? asked : headingLine(window, lines, fromLine, absence);
    return toLine < 0 ? null : { fromLine, toLine, leftIndex, leftS, endIndex: index - 1, ending: 'cut' };
  }

  private measureSettling(readEnd: number): void {
    const change = this.settling as GearChange;
    this.settling = null;
    this.measure(change, readEnd);
  }

  /** Measures a change with the samples before `readEnd` and puts it in the queue; drops it when sampled too slowly. */
  private measure(change: GearChange, readEnd: number): void {
    const usualIntervalS = this.clock.intervals.median();
    if (!(usualIntervalS <= this.longestIntervalS)) return;
    const { window, lines, trace, car, queue } = this;
    const range = this.rangeTo(readEnd);
    const context = { window, lines, trace, car, usualIntervalS, ...range };
    const shift = assembleShift(change, context);
    if (shift === null) return;
    const joined = queue.joinedWith(shift, change, usualIntervalS);
    if (joined === null) this.emit(queue.add(shift, change, range));
    else queue.replace(assembleShift(joined, context) ?? shift, joined);
  }

  /** Samples of this recording before an index that are at hand whatever the batches were. */
  private rangeTo(endIndex: number): IndexRange {
    return { fromIndex: Math.max(this.recordingIndex, endIndex - KEPT_SAMPLES), endIndex };
  }

  private emit(shift: Shift | null): void {
    if (shift !== null) this.found.shifts.push(shift);
  }

  private takeConverter(index: number): void {
    const { tracker, clock, window, converterSample: sample } = this;
    const { converterDuty, engineSpeed, inputSpeed } = window.columns;
    const slot = index - window.firstIndex;
    sample.index = index;
    sample.clockS = clock.nowS;
    sample.duty = valueAt(converterDuty, slot);
    sample.engineRpm = valueAt(engineSpeed, slot);
    sample.slipRpm = sample.engineRpm - valueAt(inputSpeed, slot);
    sample.isSteady = tracker.line >= 0 && clock.nowS - tracker.lastInS < STEADY_S;
    sample.gear = tracker.line < 0 ? null : (this.lines.gears[tracker.line] as number);
    const lockUp = this.converter.take(sample);
    if (lockUp !== null && !(clock.intervals.median() > this.longestIntervalS)) this.found.lockUps.push(lockUp);
  }
}
