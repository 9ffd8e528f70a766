import { LogFormatError, type LogFormatErrorCode } from './log-format-error.js';
import { type DamagedRow, type DamageReason, MAX_DAMAGE_DETAILS } from './log-reader.js';

/** From this many rows on, a file that is mostly damaged is given up. */
const EARLY_CHECK_ROWS = 1000;

/** Keeps count of the rows that were left out. */
export class DamageLedger {
  count = 0;
  readonly byReason: Partial<Record<DamageReason, number>> = {};
  readonly first: DamagedRow[] = [];

  add(row: DamagedRow): void {
    this.count++;
    this.byReason[row.reason] = (this.byReason[row.reason] ?? 0) + 1;
    if (this.first.length < MAX_DAMAGE_DETAILS) this.first.push(row);
  }

  /** Throws when more than half of the rows are damaged, of at least 1000 or at the end. */
  assertMostlyGood(goodRows: number, isAtEnd: boolean): void {
    const rows = goodRows + this.count;
    if (rows < EARLY_CHECK_ROWS && !isAtEnd) return;
    if (goodRows === 0 && isAtEnd) throw this.error('nothing_readable', goodRows);
    if (this.count * 2 > rows) throw this.error('mostly_damaged', goodRows);
  }

  private error(code: LogFormatErrorCode, goodRows: number): LogFormatError {
    const [first] = this.first;
    return new LogFormatError(code, {
      found: `${this.count} damaged of ${goodRows + this.count} rows${first === undefined ? '' : `, the first with ${reasonText(first)}`}`,
      expected: 'at most half of the rows damaged',
      ...(first && {
        position: {
          line: first.line,
          byteOffset: first.byteOffset,
          ...(first.column !== null && { column: first.column }),
        },
      }),
    });
  }
}

function reasonText(row: DamagedRow): string {
  return `${row.reason.replaceAll('_', ' ')} (“${row.found}”)`;
}
