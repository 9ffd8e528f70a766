import { FrameLine } from '../candump/frame-line.js';
import { interfaceName } from '../candump/inspect-candump.js';
import { LineSplitter } from '../line-splitter.js';
import { IntervalHistogram } from './interval-histogram.js';

/** How one identifier was sent (methods.md 8). */
export interface IdentifierTraffic {
  readonly identifier: number;
  readonly isExtended: boolean;
  readonly frames: number;
  /** Median time between two frames (s), to about 1 %; null for a single frame. */
  readonly periodS: number | null;
  /** Half the distance of the quartiles of that time over its median; null for less than four frames. */
  readonly spread: number | null;
  /** The payload length of most frames (bytes), and all that were met, rising. */
  readonly usualLength: number;
  readonly lengths: readonly number[];
}

/** What was sent on one bus. Plain data. */
export interface BusTraffic {
  readonly busInterface: string;
  readonly frames: number;
  /** From the first frame to the last (s), steps back left out. */
  readonly durationS: number;
  /** In rising order; standard before extended. */
  readonly identifiers: readonly IdentifierTraffic[];
  /** Frames of identifiers beyond the first 2048, which were not told apart. */
  readonly uncountedFrames: number;
}

/** A bus of a car has some hundred identifiers; the bound keeps hostile captures small. */
const MAX_IDENTIFIERS = 2048;
const MAX_INTERFACES = 8;
const EXTENDED_KEY = 2 ** 32;

interface Entry {
  readonly identifier: number;
  readonly isExtended: boolean;
  readonly intervals: IntervalHistogram;
  readonly lengths: Map<number, number>;
  frames: number;
  lastS: number;
}

/** Counts the traffic of one bus in bounded memory. Repeated times and steps back give no interval. */
export class BusTrafficCounter {
  private readonly entries = new Map<number, Entry>();
  private frames = 0;
  private uncountedFrames = 0;
  private durationS = 0;
  private lastS = NaN;

  push(timeS: number, identifier: number, isExtended: boolean, length: number): void {
    this.frames++;
    if (timeS > this.lastS) this.durationS += timeS - this.lastS;
    this.lastS = timeS;
    const entry = this.entryOf(identifier, isExtended);
    if (entry === undefined) {
      this.uncountedFrames++;
      return;
    }
    entry.frames++;
    const intervalS = timeS - entry.lastS;
    if (intervalS > 0) entry.intervals.add(intervalS);
    entry.lastS = timeS;
    entry.lengths.set(length, (entry.lengths.get(length) ?? 0) + 1);
  }

  result(busInterface: string): BusTraffic {
    const identifiers = [...this.entries.entries()].sort(([a], [b]) => a - b).map(([, entry]) => summarise(entry));
    const { frames, durationS, uncountedFrames } = this;
    return { busInterface, frames, durationS, identifiers, uncountedFrames };
  }

  private entryOf(identifier: number, isExtended: boolean): Entry | undefined {
    const key = isExtended ? identifier + EXTENDED_KEY : identifier;
    const known = this.entries.get(key);
    if (known !== undefined || this.entries.size >= MAX_IDENTIFIERS) return known;
    const entry = {
      identifier,
      isExtended,
      intervals: new IntervalHistogram(),
      lengths: new Map(),
      frames: 0,
      lastS: NaN,
    };
    this.entries.set(key, entry);
    return entry;
  }
}

function summarise({ identifier, isExtended, intervals, lengths, frames }: Entry): IdentifierTraffic {
  const periodS = intervals.count === 0 ? null : intervals.quantile(0.5);
  const quartileDistance = intervals.quantile(0.75) - intervals.quantile(0.25);
  const spread = periodS === null || intervals.count < 3 ? null : quartileDistance / 2 / periodS;
  const byCount = [...lengths].sort(([lengthA, a], [lengthB, b]) => b - a || lengthB - lengthA);
  return {
    identifier,
    isExtended,
    frames,
    periodS,
    spread,
    usualLength: byCount[0][0],
    lengths: [...lengths.keys()].sort((a, b) => a - b),
  };
}

/**
 * Counts the traffic of a candump capture, each bus by itself; bytes may be cut anywhere. Data and remote frames count;
 * error frames, lines that cannot be read and lines without a time do not. At most eight buses are told apart.
 */
export class CaptureTrafficCounter {
  /** Lines that could not be read. */
  damagedLines = 0;
  private readonly frame = new FrameLine();
  private readonly buses = new Map<string, BusTrafficCounter>();
  private readonly lines = new LineSplitter((line, start, end) => this.take(line, start, end));
  private firstSeconds = NaN;

  push(chunk: Uint8Array): void {
    this.lines.push(chunk);
  }

  /** The traffic of each bus, busiest first. A last line without line end may be cut short and is left out. */
  end(): BusTraffic[] {
    const traffics = [...this.buses].map(([name, counter]) => counter.result(name));
    return traffics.sort((a, b) => b.frames - a.frames);
  }

  private take(line: Uint8Array, start: number, end: number): void {
    if (start === end) return;
    const { frame } = this;
    if (!frame.read(line, start, end) || !frame.hasTime) {
      this.damagedLines++;
      return;
    }
    if (frame.kind === 'error') return;
    if (Number.isNaN(this.firstSeconds)) this.firstSeconds = frame.seconds;
    const timeS = frame.seconds - this.firstSeconds + frame.nanoseconds / 1e9;
    this.busOf(interfaceName(line, frame))?.push(timeS, frame.identifier, frame.isExtended, frame.length);
  }

  private busOf(name: string): BusTrafficCounter | undefined {
    const known = this.buses.get(name);
    if (known !== undefined || this.buses.size >= MAX_INTERFACES) return known;
    const counter = new BusTrafficCounter();
    this.buses.set(name, counter);
    return counter;
  }
}
