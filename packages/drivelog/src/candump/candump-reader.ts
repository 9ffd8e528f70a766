import { DamageLedger } from '../damage-ledger.js';
import { joinedFindings } from '../join/joined-findings.js';
import { RateJoiner } from '../join/rate-joiner.js';
import { LineSplitter } from '../line-splitter.js';
import { LogFormatError } from '../log-format-error.js';
import { type DamageReason, DEFAULT_BATCH_SIZE, type LogReader, type ReadFindings } from '../log-reader.js';
import { planSignals } from '../plan-signals.js';
import type { SignalMap } from '../signal-map.js';
import type { SignalBatch } from '../signals.js';
import type { RoadToShaft } from '../units.js';
import { type ValueReader, valueReaders } from '../value-readers.js';
import { FrameLine } from './frame-line.js';
import { FramePlan, type FrameValues } from './frame-plan.js';
import type { CandumpInspection } from './inspect-candump.js';

export interface CandumpReaderOptions {
  readonly map: SignalMap;
  /** Of the same file, from `inspectCandump`. */
  readonly inspection: CandumpInspection;
  readonly car?: RoadToShaft | undefined;
  /** Samples per batch. Default 8192. */
  readonly batchSize?: number;
}

/** Readable frames after which times that keep stepping back are no times of a drive. */
const TIME_CHECK_FRAMES = 1000;
/** A UNIX time before 2001 is seconds since the logger started. */
const EARLIEST_UNIX_S = 1e9;
const SHOWN_LETTERS = 60;

/**
 * Reads a candump capture in bounded memory: the frames of one bus, decoded by a signal list, joined to one time base
 * (see `RateJoiner`). Lines that cannot be read are left out, counted and located; so are single values that are no
 * state of their signal. Remote and error frames and unknown identifiers are passed over and counted.
 */
export function createCandumpReader(options: CandumpReaderOptions): LogReader {
  return new CandumpReader(options);
}

class CandumpReader implements LogReader {
  private readonly lines: LineSplitter;
  private readonly frame = new FrameLine();
  private readonly found: FrameValues = { slots: [], values: [], shortSignals: 0 };
  private readonly plan: FramePlan;
  private readonly joiner: RateJoiner;
  private readonly readers: readonly ValueReader[];
  private readonly damage = new DamageLedger();
  private readonly busInterface: Uint8Array;
  private readonly columnNames: readonly string[];
  private readonly counts = {
    frames: 0,
    readFrames: 0,
    remoteFrames: 0,
    errorFrames: 0,
    otherBusFrames: 0,
    shortFrames: 0,
  };
  private blankLines = 0;
  private endsWithoutLineEnd = false;
  private firstSeconds = NaN;
  private firstNanoseconds = 0;
  private latestTimeS = -Infinity;
  private stepsBack = 0;
  /** Times are written as dates, which name no zone. */
  private isDateForm = false;

  constructor({ map, inspection, car, batchSize = DEFAULT_BATCH_SIZE }: CandumpReaderOptions) {
    const signals = planSignals(map, inspection.columns, car);
    const byName = new Map(inspection.busSignals.map((signal) => [signal.name, signal]));
    this.plan = new FramePlan(signals.flatMap(({ entry }) => byName.get(entry.column) ?? []));
    this.readers = valueReaders(signals);
    this.columnNames = signals.map(({ entry }) => entry.column);
    this.joiner = new RateJoiner(
      signals.map(({ entry }) => entry.signal),
      batchSize,
    );
    this.busInterface = Uint8Array.from(inspection.busInterface, (letter) => letter.charCodeAt(0));
    this.lines = new LineSplitter((line, start, end) => this.takeLine(line, start, end));
  }

  push(chunk: Uint8Array): SignalBatch[] {
    this.lines.push(chunk);
    return this.joiner.takeFull();
  }

  end(): SignalBatch[] {
    this.endsWithoutLineEnd = this.lines.end();
    const batches = this.joiner.end();
    if (this.counts.frames === 0 || this.joiner.sampleCount === 0) this.refuse();
    this.damage.assertMostlyGood(this.counts.frames, true);
    return batches;
  }

  findings(): ReadFindings {
    const { startTimeS } = this.joiner;
    const isDated = this.firstSeconds >= EARLIEST_UNIX_S && !Number.isNaN(startTimeS);
    const firstMs = this.firstSeconds * 1000 + this.firstNanoseconds / 1e6;
    return {
      ...joinedFindings(this.joiner, this.damage),
      byteCount: this.lines.byteCount,
      blankLines: this.blankLines,
      endsWithoutLineEnd: this.endsWithoutLineEnd,
      startInstant: isDated ? { utcMs: Math.round(firstMs + startTimeS * 1000), hasZone: !this.isDateForm } : null,
      bus: { ...this.counts },
    };
  }

  private takeLine(line: Uint8Array, start: number, end: number): void {
    if (start === end) {
      this.blankLines++;
      return;
    }
    const { frame, counts } = this;
    if (!frame.read(line, start, end)) return this.note(frame.damage, null, line, start, end);
    if (!frame.hasTime) return this.note('time_missing', null, line, start, end);
    counts.frames++;
    const timeS = this.secondsFromFirst(line, start);
    if (!this.isOfBus(line)) counts.otherBusFrames++;
    else if (frame.kind === 'remote') counts.remoteFrames++;
    else if (frame.kind === 'error') counts.errorFrames++;
    else this.takeFrame(timeS, line, start, end);
  }

  private takeFrame(timeS: number, line: Uint8Array, start: number, end: number): void {
    const { frame, found } = this;
    this.checkTimes(timeS);
    this.plan.read(frame.identifier, frame.isExtended, frame.data, frame.length, found);
    if (found.shortSignals > 0) this.counts.shortFrames++;
    if (found.slots.length === 0) return;
    this.counts.readFrames++;
    for (let i = 0; i < found.slots.length; i++) {
      const slot = found.slots[i];
      const value = this.readers[slot](found.values[i]);
      if (value === undefined) this.note('value_unreadable', this.columnNames[slot], line, start, end);
      found.values[i] = value ?? NaN;
    }
    this.joiner.push(timeS, found.slots, found.values);
  }

  /** Whole nanoseconds are subtracted before the division, so that microseconds stay exact beside a count of years. */
  private secondsFromFirst(line: Uint8Array, start: number): number {
    const { seconds, nanoseconds } = this.frame;
    if (Number.isNaN(this.firstSeconds)) {
      this.firstSeconds = seconds;
      this.firstNanoseconds = nanoseconds;
      this.isDateForm = line.subarray(start, start + 8).includes(45);
    }
    return ((seconds - this.firstSeconds) * 1e9 + (nanoseconds - this.firstNanoseconds)) / 1e9;
  }

  /** Times between frames instead of times of frames step back all the while. */
  private checkTimes(timeS: number): void {
    if (timeS < this.latestTimeS) this.stepsBack++;
    this.latestTimeS = timeS;
    const { frames, otherBusFrames } = this.counts;
    if (frames - otherBusFrames !== TIME_CHECK_FRAMES || this.stepsBack <= TIME_CHECK_FRAMES / 4) return;
    throw new LogFormatError('frames_without_time', {
      found: `times that step back ${this.stepsBack} times in ${TIME_CHECK_FRAMES} frames`,
      expected: 'the time of each frame, not the time since the frame before',
      position: { line: this.lines.line, byteOffset: this.lines.byteOffset },
    });
  }

  private isOfBus(line: Uint8Array): boolean {
    const { interfaceStart, interfaceEnd } = this.frame;
    if (interfaceEnd - interfaceStart !== this.busInterface.length) return false;
    for (let i = 0; i < this.busInterface.length; i++) {
      if (line[interfaceStart + i] !== this.busInterface[i]) return false;
    }
    return true;
  }

  private note(reason: DamageReason, column: string | null, line: Uint8Array, start: number, end: number): void {
    const shown = String.fromCharCode(...line.subarray(start, Math.min(end, start + SHOWN_LETTERS)));
    const found = end - start > SHOWN_LETTERS ? `${shown}…` : shown;
    this.damage.add({ line: this.lines.line, byteOffset: this.lines.byteOffset, column, reason, found });
    this.damage.assertMostlyGood(this.counts.frames, false);
  }

  private refuse(): never {
    const { frames, readFrames } = this.counts;
    throw new LogFormatError('nothing_readable', {
      found: `${frames} frames, of which ${readFrames} hold a mapped signal`,
      expected: 'frames of the signals in the map, among them input or output speed',
    });
  }
}
