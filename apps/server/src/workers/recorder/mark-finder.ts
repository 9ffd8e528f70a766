import type { SignalBatch } from '@syncline/drivelog';

/** Contacts of a button bounce, and nobody presses twice in this time (s; common practice). */
const SAME_PRESS_S = 0.3;
/** More are no presses of a person: the channel holds something else. */
const MAX_MARKS = 1000;

/**
 * Finds presses of a marker button, batch by batch: moments at which the signal `mark` rises, whether the channel holds
 * a state or counts. What it holds at the beginning is no press; missing values leave it as it was.
 */
export class MarkFinder {
  private readonly marks: number[] = [];
  private level = Number.NaN;
  private roseAtS = Number.NEGATIVE_INFINITY;

  push({ timeS, signals: { mark } }: SignalBatch): void {
    if (mark === undefined) return;
    for (let i = 0; i < timeS.length; i++) {
      const level = mark[i] as number;
      if (Number.isNaN(level)) continue;
      if (level > this.level) this.press(timeS[i] as number);
      this.level = level;
    }
  }

  /** Seconds of the log, in its order. */
  result(): readonly number[] {
    return this.marks;
  }

  private press(atS: number): void {
    if (atS - this.roseAtS >= SAME_PRESS_S && this.marks.length < MAX_MARKS) this.marks.push(atS);
    this.roseAtS = atS;
  }
}
