import { JudderMeter } from './judder.js';
import type { LockUpEpisode } from './shift.js';
import { SlipMedian } from './slip-median.js';

/** The clutch is commanded from this duty on (%): ramps are known to start at 9 % (common practice). */
const APPLIED_DUTY = 5;
/** A duty below that for this long is a release (s). */
const RELEASE_S = 0.05;
/** Slip below this is made (rpm); methods.md 3, common practice. */
const MADE_RPM = 200;
/** Slip must stay below for this long (s), and above for that long to be lost. */
const MADE_DWELL_S = 0.1;
const LOST_DWELL_S = 0.5;
/** A duty that rises by more than this (%) while slip is high again is still on its ramp. */
const STILL_RISING_DUTY = 2;
/** A duty below this share of its highest is on its way to release: slip is then no loss. */
const RELEASING_SHARE = 0.85;
/** Slip settles for this long after a gear change and after being made (s). */
const AFTER_SHIFT_S = 0.7;
const AFTER_MADE_S = 0.5;
/** Overshoot is sought this long after being made (s) and reported from this size on (rpm). */
const OVERSHOOT_S = 1;
const OVERSHOOT_FLOOR_RPM = 25;
/** An engine below this does not run (rpm): its speed then says nothing of the converter. */
const RUNNING_RPM = 300;

/** What one sample tells of the converter. */
export interface ConverterSample {
  index: number;
  clockS: number;
  duty: number;
  engineRpm: number;
  /** Engine speed less input speed; NaN where one is missing. */
  slipRpm: number;
  /** In gear by the speeds, and not just after a change. */
  isSteady: boolean;
  gear: number | null;
}

/**
 * Follows the converter clutch by its commanded duty: an episode lasts from the first duty of 5 % to the release. A log
 * without duty has no episodes: engine and input speed alone meet by chance when coasting.
 */
export class LockUpTracker {
  private readonly limitS: number;
  private readonly usualIntervalS: () => number;
  private episode: OpenEpisode | null = null;
  private shiftedS = Number.NEGATIVE_INFINITY;
  /** Of the open episode. */
  private readonly slip = new SlipMedian();

  constructor(limitS: number, usualIntervalS: () => number) {
    this.limitS = limitS;
    this.usualIntervalS = usualIntervalS;
  }

  /** Whether a sample with this duty can begin, continue or end an episode; one that cannot need not be taken. */
  minds(duty: number): boolean {
    return this.episode !== null || duty >= APPLIED_DUTY;
  }

  /** Takes one sample; returns an episode when the sample ends one. */
  take(sample: ConverterSample): LockUpEpisode | null {
    const { episode } = this;
    if (Number.isNaN(sample.duty)) return null;
    if (episode === null) {
      if (sample.duty >= APPLIED_DUTY) this.episode = this.open(sample);
      return null;
    }
    if (sample.duty < APPLIED_DUTY) return episode.release(sample) ? this.close(episode.releasedIndex + 1) : null;
    episode.apply(sample);
    return null;
  }

  private open(sample: ConverterSample): OpenEpisode {
    this.slip.clear();
    const meters = { slip: this.slip, judder: new JudderMeter(this.usualIntervalS()) };
    const episode = new OpenEpisode(sample, this.limitS, meters);
    episode.shiftedS = this.shiftedS;
    episode.apply(sample);
    return episode;
  }

  /** Tells of a gear change that ended at this time. */
  noteShift(clockS: number): void {
    this.shiftedS = clockS;
    if (this.episode === null) return;
    this.episode.shiftedS = clockS;
    this.episode.shiftsInside++;
  }

  /** Ends an open episode where the log breaks off. */
  breakOff(endIndex: number): LockUpEpisode | null {
    return this.episode === null ? null : this.close(endIndex);
  }

  private close(endIndex: number): LockUpEpisode {
    const found = (this.episode as OpenEpisode).finish(endIndex);
    this.episode = null;
    return found;
  }
}

class OpenEpisode {
  /** When the last gear change ended, before the episode or in it. */
  shiftedS = Number.NEGATIVE_INFINITY;
  shiftsInside = 0;
  releasedIndex = -1;
  private releasedS = Number.NaN;
  private lastS: number;
  private lowSinceS = Number.NaN;
  private highSinceS = Number.NaN;
  private madeS = Number.NaN;
  private highSinceDuty = 0;
  private highestDuty = 0;
  private isLost = false;
  private overshootRpm = 0;
  private approachSign = 0;
  private readonly slip: SlipMedian;
  private readonly start: { readonly index: number; readonly clockS: number; readonly gear: number | null };
  private readonly limitS: number;
  private readonly judder: JudderMeter;

  constructor(sample: ConverterSample, limitS: number, meters: { slip: SlipMedian; judder: JudderMeter }) {
    this.start = { index: sample.index, clockS: sample.clockS, gear: sample.gear };
    this.limitS = limitS;
    this.slip = meters.slip;
    this.judder = meters.judder;
    this.lastS = sample.clockS;
  }

  /** Notes a duty below the threshold; true once it has lasted. */
  release(sample: ConverterSample): boolean {
    if (Number.isNaN(this.releasedS)) {
      this.releasedS = sample.clockS;
      this.releasedIndex = sample.index;
    }
    return sample.clockS - this.releasedS >= RELEASE_S;
  }

  apply(sample: ConverterSample): void {
    this.releasedS = Number.NaN;
    this.lastS = sample.clockS;
    this.highestDuty = Math.max(this.highestDuty, sample.duty);
    if (!(sample.engineRpm >= RUNNING_RPM) || Number.isNaN(sample.slipRpm)) return;
    if (this.approachSign === 0) this.approachSign = Math.sign(sample.slipRpm);
    const isLow = Math.abs(sample.slipRpm) < MADE_RPM;
    if (!isLow || !sample.isSteady) this.lowSinceS = Number.NaN;
    else this.makeWhenLasting(sample);
    if (!sample.isSteady || sample.clockS - this.shiftedS < AFTER_SHIFT_S) {
      this.highSinceS = Number.NaN;
      this.judder.pause();
    } else if (isLow) this.low(sample);
    else this.high(sample);
  }

  private makeWhenLasting({ clockS }: ConverterSample): void {
    if (Number.isNaN(this.lowSinceS)) this.lowSinceS = clockS;
    const isLasting = clockS - this.lowSinceS >= MADE_DWELL_S - 1e-6;
    if (Number.isNaN(this.madeS) && isLasting) this.madeS = this.lowSinceS;
  }

  private low(sample: ConverterSample): void {
    const { slipRpm } = sample;
    this.highSinceS = Number.NaN;
    if (Number.isNaN(this.madeS)) return;
    const sinceMadeS = sample.clockS - this.madeS;
    if (sinceMadeS <= OVERSHOOT_S) this.overshootRpm = Math.max(this.overshootRpm, -this.approachSign * slipRpm);
    if (sinceMadeS < AFTER_MADE_S || this.isReleasing(sample)) return;
    this.slip.add(slipRpm);
    this.judder.add(sample);
  }

  private high(sample: ConverterSample): void {
    this.judder.pause();
    if (this.isReleasing(sample)) return;
    if (Number.isNaN(this.highSinceS)) {
      this.highSinceS = sample.clockS;
      this.highSinceDuty = sample.duty;
    }
    if (sample.clockS - this.highSinceS < LOST_DWELL_S || Number.isNaN(this.madeS)) return;
    // Slip that was low by chance before the ramp had closed the clutch was not a clutch made.
    if (sample.duty > this.highSinceDuty + STILL_RISING_DUTY) this.madeS = Number.NaN;
    else this.isLost = true;
  }

  private isReleasing(sample: ConverterSample): boolean {
    return sample.duty < RELEASING_SHARE * this.highestDuty;
  }

  finish(endIndex: number): LockUpEpisode {
    const { clockS: commandS } = this.start;
    const isMade = !Number.isNaN(this.madeS);
    const timeToLockS = isMade ? this.madeS - commandS : null;
    return {
      startIndex: this.start.index,
      endIndex,
      commandS,
      madeS: isMade ? this.madeS : null,
      releasedS: Number.isNaN(this.releasedS) ? null : this.releasedS,
      gear: this.start.gear,
      timeToLockS,
      steadySlipRpm: this.slip.value(),
      overshootRpm: isMade ? (this.overshootRpm >= OVERSHOOT_FLOOR_RPM ? this.overshootRpm : 0) : null,
      judderRpm: this.judder.rms(),
      verdict: this.verdict(timeToLockS),
      shiftsInside: this.shiftsInside,
    };
  }

  private verdict(timeToLockS: number | null): LockUpEpisode['verdict'] {
    if (this.isLost) return 'lost';
    if (timeToLockS !== null) return timeToLockS > this.limitS ? 'slow' : 'made';
    return this.lastS - this.start.clockS > this.limitS ? 'notMade' : 'cut';
  }
}
