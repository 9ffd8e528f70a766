import { FieldText } from '../csv/field-text.js';
import { createTimeColumn, type TimeColumn } from '../csv/time-column.js';
import { DamageLedger } from '../damage-ledger.js';
import { joinedFindings } from '../join/joined-findings.js';
import { RateJoiner } from '../join/rate-joiner.js';
import { LineSplitter } from '../line-splitter.js';
import { type DamageReason, DEFAULT_BATCH_SIZE, type LogReader, type ReadFindings } from '../log-reader.js';
import { planSignals } from '../plan-signals.js';
import type { SignalMap } from '../signal-map.js';
import type { SignalBatch } from '../signals.js';
import type { RoadToShaft } from '../units.js';
import { type ValueReader, valueReaders } from '../value-readers.js';
import { isFlat, type LineObject, parseLine, withoutMark } from './flat-object.js';
import type { JsonLinesInspection } from './inspect-json-lines.js';

export interface JsonLinesReaderOptions {
  readonly map: SignalMap;
  /** Of the same file, from `inspectJsonLines`. */
  readonly inspection: JsonLinesInspection;
  /** Needed when a road speed stands for the output speed. */
  readonly car?: RoadToShaft | undefined;
  /** Samples per batch. Default 8192. */
  readonly batchSize?: number;
}

const SHOWN_LETTERS = 60;

/**
 * Reads JSON lines in bounded memory. null is “no value”; a key that a line does not have was not sampled at that
 * moment, so that signals may come at different rates (see `RateJoiner`). A line that is no object, has no readable
 * time, or holds a mapped value that cannot be read is left out, counted and located.
 */
export function createJsonLinesReader(options: JsonLinesReaderOptions): LogReader {
  return new JsonLinesReader(options);
}

class JsonLinesReader implements LogReader {
  private readonly lines: LineSplitter;
  private readonly decoder = new TextDecoder();
  private readonly encoder = new TextEncoder();
  private readonly damage = new DamageLedger();
  private readonly joiner: RateJoiner;
  private readonly time: TimeColumn;
  private readonly timeKey: string;
  private readonly keys: readonly string[];
  private readonly readers: readonly ValueReader[];
  private readonly rawTime = new Float64Array(1);
  private goodLines = 0;
  private blankLines = 0;
  private endsWithoutLineEnd = false;

  constructor({ map, inspection, car, batchSize = DEFAULT_BATCH_SIZE }: JsonLinesReaderOptions) {
    const signals = planSignals(map, inspection.columns, car);
    this.timeKey = map.time.column;
    this.time = createTimeColumn(map.time.format, new FieldText('utf-8'), '.');
    this.keys = signals.map(({ entry }) => entry.column);
    this.readers = valueReaders(signals);
    this.joiner = new RateJoiner(
      signals.map(({ entry }) => entry.signal),
      batchSize,
    );
    this.lines = new LineSplitter((bytes, start, end) => this.takeLine(bytes.subarray(start, end)));
  }

  push(chunk: Uint8Array): SignalBatch[] {
    this.lines.push(chunk);
    return this.joiner.takeFull();
  }

  end(): SignalBatch[] {
    this.endsWithoutLineEnd = this.lines.end();
    const batches = this.joiner.end();
    this.damage.assertMostlyGood(Math.min(this.goodLines, this.joiner.sampleCount), true);
    return batches;
  }

  findings(): ReadFindings {
    return {
      ...joinedFindings(this.joiner, this.damage),
      byteCount: this.lines.byteCount,
      blankLines: this.blankLines,
      midnightCrossings: this.time.midnightCrossings(),
      endsWithoutLineEnd: this.endsWithoutLineEnd,
      startInstant: this.time.startInstant(),
    };
  }

  private takeLine(bytes: Uint8Array): void {
    const text = withoutMark(this.decoder.decode(bytes));
    if (text.trim() === '') {
      this.blankLines++;
      return;
    }
    const object = parseLine(text);
    if (object === undefined) return this.note('value_unreadable', null, text);
    const slots: number[] = [];
    const values: number[] = [];
    for (const [slot, key] of this.keys.entries()) {
      if (!Object.hasOwn(object, key)) continue;
      const value = this.valueOf(slot, object[key]);
      if (value === undefined) return this.note('value_unreadable', key, text);
      slots.push(slot);
      values.push(value);
    }
    if (!this.readTime(object, text)) return;
    this.goodLines++;
    this.joiner.push(this.rawTime[0], slots, values);
  }

  private valueOf(slot: number, value: unknown): number | undefined {
    if (!isFlat(value)) return undefined;
    if (value === null) return NaN;
    return this.readers[slot](typeof value === 'boolean' ? String(value) : value);
  }

  /** Leaves the seconds from the first good line in `rawTime`; false when the line has no readable time. */
  private readTime(object: LineObject, text: string): boolean {
    const written = Object.hasOwn(object, this.timeKey) ? object[this.timeKey] : null;
    const isText = typeof written === 'string';
    const bytes = isText ? this.encoder.encode(written.trim()) : undefined;
    const isNumber = typeof written === 'number' && this.time.slot.isNumeric;
    const raw = bytes ? this.time.slot.read(bytes, 0, bytes.length) : isNumber ? written : undefined;
    const isMissing = written === null || Number.isNaN(raw);
    if (isMissing || raw === undefined || !Number.isFinite(raw)) {
      this.note(isMissing ? 'time_missing' : 'time_unreadable', this.timeKey, text);
      return false;
    }
    this.rawTime[0] = raw;
    this.time.toSeconds(this.rawTime);
    return true;
  }

  private note(reason: DamageReason, column: string | null, text: string): void {
    const found = text.length > SHOWN_LETTERS ? `${text.slice(0, SHOWN_LETTERS)}…` : text;
    this.damage.add({ line: this.lines.line, byteOffset: this.lines.byteOffset, column, reason, found });
    this.damage.assertMostlyGood(this.goodLines, false);
  }
}
