import { DamageLedger } from '../damage-ledger.js';
import type { LogColumn } from '../log-content.js';
import { LogFormatError } from '../log-format-error.js';
import { DEFAULT_BATCH_SIZE, type LogReader, type ReadFindings } from '../log-reader.js';
import { planSignals } from '../plan-signals.js';
import type { SignalMap } from '../signal-map.js';
import type { SignalBatch } from '../signals.js';
import type { RoadToShaft } from '../units.js';
import { BatchTable } from './batch-table.js';
import { type CsvDialect, MAX_LINE_BYTES } from './csv-dialect.js';
import { FieldText } from './field-text.js';
import { HeaderWatch } from './header-watch.js';
import { planRows } from './plan-rows.js';
import { INCOMPLETE, RowScanner } from './row-scanner.js';
import { createTimeColumn, type TimeColumn } from './time-column.js';

export interface CsvReaderOptions {
  readonly map: SignalMap;
  /** Of the same file, from `inspectCsv`. */
  readonly inspection: { readonly dialect: CsvDialect; readonly columns: readonly LogColumn[] };
  /** Needed when a road speed stands for the output speed. */
  readonly car?: RoadToShaft | undefined;
  /** Samples per batch. Default 8192. */
  readonly batchSize?: number;
  /** See `LogReaderOptions`. */
  readonly isLending?: boolean;
}

/** Bytes read ahead. Fits the second-level cache; grows up to MAX_LINE_BYTES for a long line only. */
const BUFFER_BYTES = 1 << 17;

/**
 * Reads a CSV log in bounded memory, whatever its length. Rows that cannot be read are left out, counted and located;
 * nothing is repaired. Throws LogFormatError when map and file do not fit, and while reading when the file as a whole
 * cannot be believed: more than half of the rows damaged, a line over 1 MiB, other columns from some line on.
 */
export function createCsvReader(options: CsvReaderOptions): LogReader {
  return new CsvReader(options);
}

class CsvReader implements LogReader {
  private readonly dialect: CsvDialect;
  private readonly columns: readonly LogColumn[];
  private readonly scanner: RowScanner;
  private readonly table: BatchTable;
  private readonly time: TimeColumn;
  private readonly damage = new DamageLedger();
  private readonly headers: HeaderWatch;

  private buffer = new Uint8Array(BUFFER_BYTES);
  private buffered = 0;
  /** Offset in the file of the buffer's first byte. */
  private bufferOffset: number;
  /** Bytes before the data, still to be passed over. */
  private toSkip: number;
  private byteCount = 0;
  private lastByte = 0;
  private line: number;
  private readonly counts = { rowsWithExtraFields: 0, blankLines: 0, commentLines: 0 };

  constructor({ map, inspection, car, batchSize = DEFAULT_BATCH_SIZE, isLending = false }: CsvReaderOptions) {
    this.dialect = inspection.dialect;
    this.columns = inspection.columns;
    const { decimalMark } = this.dialect;
    const text = new FieldText(this.dialect.encoding);
    const signals = planSignals(map, this.columns, car);
    this.time = createTimeColumn(map.time.format, text, decimalMark);
    const plan = planRows(this.columns, map.time.column, this.time.slot, signals, { text, decimalMark });
    this.scanner = new RowScanner(this.dialect, plan, text);
    this.table = new BatchTable(signals, this.time, { batchSize, isLending });
    this.headers = new HeaderWatch(this.dialect, this.columns, map, text);
    this.toSkip = this.dialect.dataOffset;
    this.bufferOffset = this.dialect.dataOffset;
    this.line = this.dialect.dataLine;
  }

  push(chunk: Uint8Array): SignalBatch[] {
    const batches: SignalBatch[] = [];
    this.table.takeBack();
    this.byteCount += chunk.length;
    this.lastByte = chunk.at(-1) ?? this.lastByte;
    let taken = Math.min(this.toSkip, chunk.length);
    this.toSkip -= taken;
    while (taken < chunk.length) {
      const room = this.buffer.length - 1 - this.buffered;
      const part = chunk.subarray(taken, taken + room);
      this.buffer.set(part, this.buffered);
      this.buffered += part.length;
      taken += part.length;
      if (part.length === room) this.readBuffer(false, batches);
    }
    return batches;
  }

  end(): SignalBatch[] {
    const batches: SignalBatch[] = [];
    this.readBuffer(true, batches);
    const last = this.table.takeRest();
    if (last !== null) batches.push(last);
    this.damage.assertMostlyGood(this.table.sampleCount, true);
    return batches;
  }

  findings(): ReadFindings {
    return {
      byteCount: this.byteCount,
      sampleCount: this.table.sampleCount,
      damagedRows: this.damage.count,
      damagedByReason: { ...this.damage.byReason },
      firstDamage: [...this.damage.first],
      missingValues: this.table.missingValues(),
      ...this.counts,
      repeatedHeaders: this.headers.repeats,
      midnightCrossings: this.time.midnightCrossings(),
      endsWithoutLineEnd: this.byteCount > 0 && this.lastByte !== this.dialect.lineEnd.charCodeAt(0),
      startInstant: this.time.startInstant(),
    };
  }

  /** Reads all complete rows of the buffer and moves the rest to its front. */
  private readBuffer(isFinal: boolean, batches: SignalBatch[]): void {
    const { scanner, table, buffer } = this;
    buffer[this.buffered] = this.dialect.lineEnd.charCodeAt(0);
    scanner.bytes = buffer;
    scanner.length = this.buffered;
    scanner.isFinal = isFinal;
    let start = 0;
    while (start < this.buffered) {
      let next = scanner.readRow(start, table.cells, table.stride, table.row);
      if (next === INCOMPLETE && (start > 0 || this.buffered < MAX_LINE_BYTES)) break;
      if (next === INCOMPLETE) next = this.passLongLine();
      if (scanner.kind === 'data') {
        const full = table.commitRow();
        if (full !== null) batches.push(full);
        if (scanner.hasExtraFields) this.counts.rowsWithExtraFields++;
      } else {
        this.noteOddRow(start, next);
      }
      this.line += 1 + scanner.innerLineEnds;
      start = next;
    }
    this.keepFrom(Math.min(start, this.buffered));
  }

  /** A line that fills the whole buffer: damaged when only its quotes are to blame, else the file is no log. */
  private passLongLine(): number {
    const next = this.scanner.readBadLine(0, 'field_too_long');
    if (next !== INCOMPLETE) return next;
    throw new LogFormatError('line_too_long', {
      found: `a line of more than ${MAX_LINE_BYTES} bytes`,
      expected: 'one line per sample',
      position: { line: this.line, byteOffset: this.bufferOffset },
    });
  }

  private noteOddRow(start: number, next: number): void {
    const { kind, damage } = this.scanner;
    const position = { line: this.line, byteOffset: this.bufferOffset + start };
    if (kind === 'blank') this.counts.blankLines++;
    else if (this.headers.isRepeat(this.buffer, start, next - 1, position)) return;
    else if (kind === 'comment') this.counts.commentLines++;
    else if (damage !== null) {
      const column = damage.column === null ? null : (this.columns[damage.column]?.name ?? null);
      this.damage.add({ ...position, column, reason: damage.reason, found: damage.found });
      this.damage.assertMostlyGood(this.table.sampleCount, false);
    }
  }

  private keepFrom(start: number): void {
    const isFull = this.buffered === this.buffer.length - 1;
    if (start === 0 && isFull) {
      const larger = new Uint8Array(Math.min(2 * this.buffered, MAX_LINE_BYTES) + 1);
      larger.set(this.buffer.subarray(0, this.buffered));
      this.buffer = larger;
      return;
    }
    this.buffer.copyWithin(0, start, this.buffered);
    this.buffered -= start;
    this.bufferOffset += start;
  }
}
