import { SIGNAL_IDS, type SignalBatch, type SignalId } from '../signals.js';
import { unitsForSignal } from '../units.js';
import type { QualityFinding } from './quality-finding.js';
import { RatioCheck, type RatioReference } from './ratio-check.js';
import { SignalHealth } from './signal-health.js';
import { doubtUnit } from './unit-doubts.js';

/** The shaft that must not change its speed while this one stands still: input and engine follow the output. */
const REFERENCE_OF: Partial<Record<SignalId, SignalId>> = {
  inputSpeed: 'outputSpeed',
  engineSpeed: 'outputSpeed',
  outputSpeed: 'inputSpeed',
};

/** Measured signals; states have no range. */
const MEASURED = SIGNAL_IDS.filter((signal) => unitsForSignal(signal)[0] !== '');

/**
 * Looks for signals that hang, are cut off, are in another unit than the map says, or do not fit the gearbox, batch by
 * batch in fixed memory. Sampling rate, jitter and gaps are told by `TimeStatisticsCounter`.
 */
export class LogQualityCounter {
  private readonly health = new Map<SignalId, SignalHealth>();
  private readonly ratio: RatioCheck;
  private endS = 0;

  constructor(reference: RatioReference) {
    this.ratio = new RatioCheck(reference);
  }

  push(batch: SignalBatch): void {
    const { timeS, signals } = batch;
    for (const signal of MEASURED) {
      const values = signals[signal];
      const reference = REFERENCE_OF[signal];
      if (values !== undefined) this.healthOf(signal).push(timeS, values, reference && signals[reference]);
    }
    const { inputSpeed, outputSpeed } = signals;
    if (inputSpeed !== undefined && outputSpeed !== undefined) this.ratio.push(inputSpeed, outputSpeed);
    for (let i = 0; i < timeS.length; i++) if (timeS[i] > this.endS) this.endS = timeS[i];
  }

  /** Call once, after the last batch. In the order of SIGNAL_IDS, what concerns two speeds at the end. */
  result(): QualityFinding[] {
    const output = this.health.get('outputSpeed');
    const movedRpm = output === undefined ? 0 : output.max - output.min;
    const ofSignals = MEASURED.flatMap((signal) => {
      const health = this.health.get(signal);
      if (health === undefined || health.max < health.min) return [];
      const doubt = doubtUnit(signal, health.min, health.max);
      return [...(doubt === undefined ? [] : [doubt]), ...health.findings(this.endS, movedRpm)];
    });
    const ofRatio = this.ratio.finding();
    return ofRatio === undefined ? ofSignals : [...ofSignals, ofRatio];
  }

  private healthOf(signal: SignalId): SignalHealth {
    const health = this.health.get(signal) ?? new SignalHealth(signal);
    this.health.set(signal, health);
    return health;
  }
}
