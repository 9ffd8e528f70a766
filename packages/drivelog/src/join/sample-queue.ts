/** The samples of one signal that may still be needed, oldest first. */
export class SampleQueue {
  private times: number[] = [];
  private values: number[] = [];
  private head = 0;
  /** Time of the newest sample ever; NaN before. */
  lastTimeS = NaN;

  get length(): number {
    return this.times.length - this.head;
  }

  /** A second sample of the same moment takes the place of the first. */
  push(timeS: number, value: number): void {
    if (this.length > 0 && timeS === this.lastTimeS) {
      this.values[this.values.length - 1] = value;
      return;
    }
    this.times.push(timeS);
    this.values.push(value);
    this.lastTimeS = timeS;
  }

  clear(): void {
    this.times = [];
    this.values = [];
    this.head = 0;
    this.lastTimeS = NaN;
  }

  /** Drops what lies before the last sample at or before `timeS`. */
  advanceTo(timeS: number): void {
    while (this.length > 1 && this.times[this.head + 1] <= timeS) this.head++;
    this.compact();
  }

  /** Drops all but the newest samples. */
  keepNewest(count: number): void {
    this.head = Math.max(this.head, this.times.length - count);
    this.compact();
  }

  /** Of the oldest kept sample and the one after it; NaN when there is none. */
  get timeS(): number {
    return this.times[this.head] ?? NaN;
  }
  get value(): number {
    return this.values[this.head] ?? NaN;
  }
  get nextTimeS(): number {
    return this.times[this.head + 1] ?? NaN;
  }
  get nextValue(): number {
    return this.values[this.head + 1] ?? NaN;
  }

  private compact(): void {
    if (this.head < 1024 || this.head * 2 < this.times.length) return;
    this.times = this.times.slice(this.head);
    this.values = this.values.slice(this.head);
    this.head = 0;
  }
}
