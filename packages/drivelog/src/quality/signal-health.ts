import type { SignalId } from '../signals.js';
import { type QualityFinding, RESULTS_OF_SIGNAL, shown } from './quality-finding.js';

/**
 * A speed that stays on one value so long (s), while the other speed changes so much (rpm), hangs. Where its smallest
 * step is more than 0.2 % of the value, steady cruising looks alike, and it must stay longer.
 */
const STUCK_SPEED_S = 2;
const STUCK_COARSE_S = 20;
const COARSE_STEP = 0.002;
const STUCK_CHANGE_RPM = 200;
/** Other signals hang when they have one value all through a drive of this length (s). Fluid warms up slowly. */
const STUCK_DRIVE_S = 60;
const STUCK_WARM_UP_S = 600;
/** A brake, pedal or mark may rest all through a drive; states are no measured values. */
const NEVER_STUCK: readonly SignalId[] = ['pedal', 'converterDuty'];

/** A limit is met at least so often, so many samples long, and from so many smallest steps away. */
const CLIPPED_RUNS = 3;
const CLIPPED_SAMPLES = 3;
const CLIPPED_STEPS = 3;
/** 100 % is the natural end of a share; temperatures rest at their highest. */
const NEVER_CLIPPED: readonly SignalId[] = ['pedal', 'load', 'converterDuty', 'fluidTemperature', 'supplyVoltage'];

/** Watches one measured signal in fixed memory. */
export class SignalHealth {
  min = Infinity;
  max = -Infinity;
  private readonly signal: SignalId;
  private smallestStep = Infinity;
  private value = NaN;
  /** The run of equal values that is under way. */
  private runStartS = NaN;
  private runLength = 0;
  private entryStep = 0;
  private referenceMin = Infinity;
  private referenceMax = -Infinity;
  /** Runs at the highest value, and the steps by which they were entered and left. */
  private topRuns = 0;
  private topStepSum = 0;
  private topSamples = 0;
  private stuckS = 0;
  private stuckStartS = NaN;
  private stuckValue = NaN;

  constructor(signal: SignalId) {
    this.signal = signal;
  }

  /** Takes samples; `reference` is the other speed at these moments, for a shaft speed. */
  push(timeS: Float64Array, values: Float64Array, reference: Float64Array | undefined): void {
    for (let i = 0; i < timeS.length; ) {
      const value = values[i];
      if (Number.isNaN(value)) {
        i++;
        continue;
      }
      if (value !== this.value) this.beginRun(timeS[i], value);
      let end = i + 1;
      while (end < timeS.length && values[end] === value) end++;
      this.runLength += end - i;
      if (reference !== undefined) this.takeReference(reference, i, end);
      i = end;
    }
  }

  private takeReference(reference: Float64Array, from: number, to: number): void {
    for (let i = from; i < to; i++) {
      const rpm = reference[i];
      if (rpm < this.referenceMin) this.referenceMin = rpm;
      if (rpm > this.referenceMax) this.referenceMax = rpm;
    }
  }

  /** `movedRpm` is how much the output speed changed in the drive. */
  findings(endS: number, movedRpm: number): QualityFinding[] {
    this.endRun(endS, NaN);
    const found = this.stuckFinding(endS, movedRpm) ?? this.clippedFinding();
    return found === undefined ? [] : [found];
  }

  private beginRun(timeS: number, value: number): void {
    this.endRun(timeS, value);
    this.runStartS = timeS;
    this.runLength = 0;
    this.entryStep = Number.isNaN(this.value) ? 0 : value - this.value;
    this.referenceMin = Infinity;
    this.referenceMax = -Infinity;
    this.value = value;
    if (value < this.min) this.min = value;
    if (value > this.max) this.startTop(value);
  }

  private startTop(value: number): void {
    this.max = value;
    this.topRuns = 0;
    this.topStepSum = 0;
    this.topSamples = 0;
  }

  private endRun(timeS: number, next: number): void {
    const exitStep = this.value - next;
    const step = Math.abs(exitStep);
    if (step > 0 && step < this.smallestStep) this.smallestStep = step;
    if (this.value === this.max && this.runLength >= CLIPPED_SAMPLES && this.entryStep > 0 && exitStep > 0) {
      this.topRuns++;
      this.topSamples += this.runLength;
      this.topStepSum += Math.min(this.entryStep, exitStep);
    }
    const heldS = timeS - this.runStartS;
    // Most runs of a speed are one sample long: nothing more is asked of them.
    if (!(heldS >= STUCK_SPEED_S && heldS > this.stuckS)) return;
    const hasMoved = this.referenceMax - this.referenceMin >= STUCK_CHANGE_RPM;
    const canRest = this.value === 0 && this.signal !== 'inputSpeed';
    if (hasMoved && !canRest) {
      this.stuckS = heldS;
      this.stuckStartS = this.runStartS;
      this.stuckValue = this.value;
    }
  }

  private stuckFinding(endS: number, movedRpm: number): QualityFinding | undefined {
    const { signal } = this;
    const results = RESULTS_OF_SIGNAL[signal];
    const isSpeed = isShaftSpeed(signal);
    const effect = `${isSpeed ? 'While it hangs' : 'In this drive'}, ${results} cannot be trusted.`;
    const isCoarse = this.smallestStep > COARSE_STEP * this.stuckValue;
    if (isSpeed && this.stuckS >= (isCoarse ? STUCK_COARSE_S : STUCK_SPEED_S)) {
      const message = `${signal} stays at ${shown(this.stuckValue)} for ${shown(this.stuckS)} s from ${shown(this.stuckStartS)} s on, while the other shaft changes its speed.`;
      return { code: 'stuck', signal, severity: 'error', message, effect };
    }
    const leastS = signal === 'fluidTemperature' ? STUCK_WARM_UP_S : STUCK_DRIVE_S;
    const canHang = !isSpeed && !NEVER_STUCK.includes(signal) && movedRpm >= STUCK_CHANGE_RPM && endS >= leastS;
    if (!canHang || this.min !== this.max) return undefined;
    const message = `${signal} is ${shown(this.max)} all through ${shown(endS)} s of driving.`;
    return { code: 'stuck', signal, severity: 'warning', message, effect };
  }

  private clippedFinding(): QualityFinding | undefined {
    const { signal, topRuns, topStepSum, smallestStep } = this;
    if (NEVER_CLIPPED.includes(signal) || topRuns < CLIPPED_RUNS) return undefined;
    if (topStepSum / topRuns < CLIPPED_STEPS * smallestStep) return undefined;
    return {
      code: 'clipped',
      signal,
      severity: isShaftSpeed(signal) ? 'error' : 'warning',
      message: `${signal} is cut off at ${shown(this.max)}: it stays there ${topRuns} times, ${this.topSamples} samples in all, and comes and goes in steep steps.`,
      effect: `Above that value ${RESULTS_OF_SIGNAL[signal]} cannot be trusted; peaks are higher than shown.`,
    };
  }
}

export function isShaftSpeed(signal: SignalId): boolean {
  return signal === 'inputSpeed' || signal === 'outputSpeed' || signal === 'engineSpeed';
}
