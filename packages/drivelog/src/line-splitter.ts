import { MAX_LINE_BYTES } from './csv/csv-dialect.js';
import { LogFormatError } from './log-format-error.js';

const LF = 10;
const CR = 13;

/** Takes one line: the bytes from `start` to `end`, without its line end. They are only valid during the call. */
export type LineTaker = (bytes: Uint8Array, start: number, end: number) => void;

/**
 * Cuts bytes that come in any split into lines that end in LF or CR LF. Keeps only the unfinished line, at most 1 MiB;
 * a longer one is a LogFormatError.
 */
export class LineSplitter {
  /** Number of the line being taken, from 1, and the offset of its first byte in the file. */
  line = 0;
  byteOffset = 0;
  byteCount = 0;
  private nextOffset = 0;
  private rest = new Uint8Array(256);
  private restLength = 0;
  private readonly take: LineTaker;

  constructor(take: LineTaker) {
    this.take = take;
  }

  push(chunk: Uint8Array): void {
    this.byteCount += chunk.length;
    let start = 0;
    for (;;) {
      const end = chunk.indexOf(LF, start);
      if (end < 0) break;
      if (this.restLength > 0) {
        this.keep(chunk.subarray(start, end));
        this.emit(this.rest, 0, this.restLength, 1);
        this.restLength = 0;
      } else this.emit(chunk, start, end, 1);
      start = end + 1;
    }
    this.keep(chunk.subarray(start));
  }

  /** Takes a last line that has no line end. Tells whether there was one. */
  end(): boolean {
    if (this.restLength === 0) return false;
    this.emit(this.rest, 0, this.restLength, 0);
    this.restLength = 0;
    return true;
  }

  private emit(bytes: Uint8Array, start: number, end: number, lineEndLength: number): void {
    this.line++;
    this.byteOffset = this.nextOffset;
    this.nextOffset += end - start + lineEndLength;
    this.take(bytes, start, bytes[end - 1] === CR && end > start ? end - 1 : end);
  }

  private keep(part: Uint8Array): void {
    const length = this.restLength + part.length;
    if (length > MAX_LINE_BYTES) {
      throw new LogFormatError('line_too_long', {
        found: `a line of more than ${MAX_LINE_BYTES} bytes`,
        expected: 'one line per sample',
        position: { line: this.line + 1, byteOffset: this.nextOffset },
      });
    }
    if (length > this.rest.length) {
      const larger = new Uint8Array(Math.min(MAX_LINE_BYTES, Math.max(length, 2 * this.rest.length)));
      larger.set(this.rest.subarray(0, this.restLength));
      this.rest = larger;
    }
    this.rest.set(part, this.restLength);
    this.restLength = length;
  }
}
