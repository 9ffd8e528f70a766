import type { SignalBatch, SignalId } from '../signals.js';
import { BaseChoice } from './base-choice.js';
import { BatchBuilder } from './batch-builder.js';
import { JOIN_RULES, type JoinRule } from './join-rule.js';
import type { JoinedRows, JoinedSignal, JoinFindings } from './joined-rows.js';
import { SampleQueue } from './sample-queue.js';

/** Rows that wait for the next sample of a slower signal, at most. The oldest then goes without it. */
const MAX_PENDING_ROWS = 1 << 16;
/** Samples of a signal that may gather before waiting rows are looked at again. */
const MAX_QUEUED = 1024;
/** Samples kept while no row waits: records of several buses come slightly out of order. */
const KEPT_SAMPLES = 2;

/**
 * Brings signals of different rates to one time base, in bounded memory. The moments of the base signal (the faster of
 * input and output speed) become the rows; every other signal follows its rule in `JOIN_RULES`. Values recorded at
 * the moment of a row are taken as they are, never computed. Repeated times stay as logged. Where time steps back the
 * log is cut: nothing is interpolated or held across. NaN is a sample that says “no value”.
 */
export class RateJoiner implements JoinedRows {
  private readonly signals: readonly SignalId[];
  private readonly rules: readonly JoinRule[];
  private readonly queues: readonly SampleQueue[];
  private readonly batches: BatchBuilder;
  private choice: BaseChoice | null;
  private base = -1;

  /** Waiting rows: row r holds cells[r · width …]; `isKnown` tells which of them are settled. */
  private times: number[] = [];
  private cells = new Float64Array(0);
  private isKnown = new Uint8Array(0);
  private first = 0;

  /** Time of the first row; times of the batches count from it. */
  private startS = NaN;
  private earliestS = NaN;
  private latestS = -Infinity;
  private readonly stats: { sampleCount: number; lastS: number; largestGapS: number; largestGapStartS: number }[];

  constructor(signals: readonly SignalId[], batchSize: number) {
    this.signals = signals;
    this.rules = signals.map((signal) => JOIN_RULES[signal]);
    this.queues = signals.map(() => new SampleQueue());
    this.batches = new BatchBuilder(signals, batchSize);
    this.choice = new BaseChoice(signals);
    this.stats = signals.map(() => ({ sampleCount: 0, lastS: NaN, largestGapS: 0, largestGapStartS: NaN }));
  }

  /** Takes the signals of one moment: `values[i]` belongs to signal `slots[i]`. Records come in the order of the log. */
  push(timeS: number, slots: readonly number[], values: readonly number[]): void {
    if (this.choice?.concerns(slots)) {
      if (this.choice.watch({ timeS, slots, values: [...values] })) this.settleBase();
      return;
    }
    this.add(timeS, slots, values);
  }

  takeFull(): SignalBatch[] {
    return this.batches.takeFull();
  }

  /** Settles what waits. Nothing may be pushed afterwards. */
  end(): SignalBatch[] {
    if (this.choice !== null) this.settleBase();
    this.resolve(true);
    for (let slot = 0; slot < this.signals.length; slot++) this.noteGap(slot, this.latestS);
    return this.batches.takeRest();
  }

  get sampleCount(): number {
    return this.batches.sampleCount;
  }

  get startTimeS(): number {
    return this.startS;
  }

  missingValues(): Partial<Record<SignalId, number>> {
    return this.batches.missingValues();
  }

  findings(): JoinFindings {
    const entries = this.signals.map((signal, slot): [SignalId, JoinedSignal] => {
      const { sampleCount, largestGapS, largestGapStartS } = this.stats[slot];
      const startS = largestGapStartS - (Number.isNaN(this.startS) ? 0 : this.startS);
      return [signal, { rule: this.rules[slot].kind, sampleCount, largestGapS, largestGapStartS: startS }];
    });
    return { base: this.signals[this.base] ?? null, signals: Object.fromEntries(entries) };
  }

  private settleBase(): void {
    const { choice } = this;
    this.choice = null;
    if (choice === null) return;
    this.base = choice.choose();
    for (const { timeS, slots, values } of choice.records) this.add(timeS, slots, values);
  }

  private add(timeS: number, slots: readonly number[], values: readonly number[]): void {
    if (slots.some((slot) => timeS < this.queues[slot].lastTimeS)) this.cut();
    if (Number.isNaN(this.earliestS)) this.earliestS = timeS;
    if (timeS > this.latestS) this.latestS = timeS;
    let isRow = false;
    let isCrowded = false;
    for (let i = 0; i < slots.length; i++) {
      const slot = slots[i];
      this.noteGap(slot, timeS);
      this.stats[slot].sampleCount++;
      this.queues[slot].push(timeS, values[i]);
      if (slot === this.base) isRow = true;
      if (this.queues[slot].length > MAX_QUEUED) isCrowded = true;
    }
    if (isRow) this.openRow(timeS, slots, values);
    if (isRow || isCrowded) this.resolve(false);
    this.dropUnneeded(slots);
  }

  /** Of rows that wait the oldest needs the most. Where every record has all signals, nothing else empties the queues. */
  private dropUnneeded(slots: readonly number[]): void {
    const isWaiting = this.pendingCount > 0;
    for (const slot of slots) {
      if (isWaiting) this.queues[slot].advanceTo(this.times[this.first]);
      else this.queues[slot].keepNewest(KEPT_SAMPLES);
    }
  }

  /** Time stepped back: what waits is settled with what is there, and the signals begin anew. */
  private cut(): void {
    this.resolve(true);
    for (const queue of this.queues) queue.clear();
    for (const stat of this.stats) stat.lastS = NaN;
    this.latestS = -Infinity;
    this.earliestS = NaN;
  }

  private noteGap(slot: number, timeS: number): void {
    const stat = this.stats[slot];
    const lastS = Number.isNaN(stat.lastS) ? this.earliestS : stat.lastS;
    if (timeS - lastS > stat.largestGapS) {
      stat.largestGapS = timeS - lastS;
      stat.largestGapStartS = lastS;
    }
    stat.lastS = timeS;
  }

  private get pendingCount(): number {
    return this.times.length - this.first;
  }

  private openRow(timeS: number, slots: readonly number[], values: readonly number[]): void {
    if (this.pendingCount >= MAX_PENDING_ROWS) this.resolveRow(this.first, true);
    this.makeRoom();
    const start = this.times.length * this.signals.length;
    this.times.push(timeS);
    this.cells.fill(NaN, start, start + this.signals.length);
    this.isKnown.fill(0, start, start + this.signals.length);
    for (let i = 0; i < slots.length; i++) {
      this.cells[start + slots[i]] = values[i];
      this.isKnown[start + slots[i]] = 1;
    }
  }

  /** Settles waiting rows from the oldest on, as far as the samples allow; all of them when no more will come. */
  private resolve(isFinal: boolean): void {
    while (this.pendingCount > 0 && this.resolveRow(this.first, isFinal));
  }

  private resolveRow(row: number, isFinal: boolean): boolean {
    const timeS = this.times[row];
    if (!isFinal && !(this.latestS > timeS)) return false;
    const start = row * this.signals.length;
    for (let slot = 0; slot < this.signals.length; slot++) {
      if (this.isKnown[start + slot] === 1) continue;
      const value = this.valueAt(slot, timeS, isFinal);
      if (value === undefined) return false;
      this.cells[start + slot] = value;
      this.isKnown[start + slot] = 1;
    }
    if (Number.isNaN(this.startS)) this.startS = timeS;
    this.batches.add(timeS - this.startS, this.cells, start);
    this.first++;
    return true;
  }

  /** Value of a signal at a moment; undefined when a later sample may still decide it. */
  private valueAt(slot: number, timeS: number, isFinal: boolean): number | undefined {
    const queue = this.queues[slot];
    const rule = this.rules[slot];
    queue.advanceTo(timeS);
    if (!(queue.timeS <= timeS)) return NaN;
    if (rule.kind === 'hold' || queue.timeS === timeS) return queue.value;
    if (queue.length > 1) {
      const stepS = queue.nextTimeS - queue.timeS;
      if (stepS > rule.maxGapS) return NaN;
      return queue.value + (queue.nextValue - queue.value) * ((timeS - queue.timeS) / stepS);
    }
    return isFinal || this.latestS > queue.timeS + rule.maxGapS ? NaN : undefined;
  }

  /** Moves the waiting rows to the front of their arrays, or doubles these. */
  private makeRoom(): void {
    const width = this.signals.length;
    if ((this.times.length + 1) * width <= this.cells.length) return;
    const count = this.pendingCount;
    const capacity = count * 2 < this.times.length ? this.times.length : Math.max(256, 2 * count);
    const cells = new Float64Array(capacity * width);
    const isKnown = new Uint8Array(capacity * width);
    cells.set(this.cells.subarray(this.first * width, this.times.length * width));
    isKnown.set(this.isKnown.subarray(this.first * width, this.times.length * width));
    this.times = this.times.slice(this.first);
    this.cells = cells;
    this.isKnown = isKnown;
    this.first = 0;
  }
}
