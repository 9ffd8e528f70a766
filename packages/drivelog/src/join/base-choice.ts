import type { SignalId } from '../signals.js';

/** How long the records are watched before the base is chosen (s), and how many at most. */
const WATCH_S = 2;
const MAX_RECORDS = 4096;

/** A later candidate must be so much faster to be preferred: near ties must not depend on a single sample. */
const CLEARLY_FASTER = 1.2;

/** Signals of one moment: `values[i]` belongs to the signal with index `slots[i]`. */
export interface JoinRecord {
  readonly timeS: number;
  readonly slots: readonly number[];
  readonly values: readonly number[];
}

/**
 * Watches the beginning of a log to find which signal makes the time base: the faster of input and output speed, or
 * the fastest of all when neither is there. Keeps the watched records so that none is lost.
 */
export class BaseChoice {
  readonly records: JoinRecord[] = [];
  private readonly candidates: readonly number[];
  private readonly counts: number[];

  constructor(signals: readonly SignalId[]) {
    this.candidates = baseCandidates(signals);
    this.counts = signals.map(() => 0);
  }

  /** False for records before the first of a candidate: they cannot decide anything and need not be kept. */
  concerns(slots: readonly number[]): boolean {
    return this.records.length > 0 || slots.some((slot) => this.candidates.includes(slot));
  }

  /** Keeps a record; true when enough has been seen. */
  watch(record: JoinRecord): boolean {
    this.records.push(record);
    for (const slot of record.slots) this.counts[slot]++;
    return record.timeS - this.records[0].timeS >= WATCH_S || this.records.length >= MAX_RECORDS;
  }

  /** Index of the base; -1 when no record concerned it. */
  choose(): number {
    if (this.records.length === 0) return -1;
    return this.candidates.reduce((best, slot) =>
      this.counts[slot] > CLEARLY_FASTER * this.counts[best] ? slot : best,
    );
  }
}

/** Indices of the signals that may become the base; of equal ones the first does. */
export function baseCandidates(signals: readonly SignalId[]): readonly number[] {
  const all = signals.map((_, slot) => slot);
  const speeds = all.filter((slot) => signals[slot] === 'inputSpeed' || signals[slot] === 'outputSpeed');
  return speeds.length > 0 ? speeds : all;
}
