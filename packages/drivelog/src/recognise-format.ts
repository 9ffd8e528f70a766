import { LogFormatError, type LogFormatErrorCode } from './log-format-error.js';

/** Formats that can be told apart by content; those that are not read are named so that an error can say so. */
export type LogFormat =
  | 'csv'
  | 'candump'
  | 'mdf'
  | 'jsonLines'
  | 'compressed'
  | 'utf16'
  | 'binary'
  | 'foreign'
  | 'text'
  | 'empty';

export interface RecognisedFormat {
  readonly format: LogFormat;
  /** What was seen, in words that complete “found …”. */
  readonly reason: string;
}

/** What is read, for messages and pages. */
export const ACCEPTED_FORMATS =
  'CSV text (comma, semicolon or tab) with a header row and a time column, JSON lines, a candump capture of a bus, or ASAM MDF 4';

const REFUSAL_CODES: Partial<Record<LogFormat, LogFormatErrorCode>> = {
  empty: 'empty',
  compressed: 'compressed',
  utf16: 'encoding_utf16',
  binary: 'binary_content',
  text: 'unknown_content',
};

interface Signature {
  readonly bytes: readonly number[];
  readonly offset?: number;
  readonly format: LogFormat;
  readonly reason: string;
}

const SIGNATURES: readonly Signature[] = [
  { bytes: ascii('MDF     '), format: 'mdf', reason: 'an ASAM MDF measurement file' },
  { bytes: ascii('UnFinMF '), format: 'mdf', reason: 'an unfinalised ASAM MDF measurement file' },
  { bytes: [0x1f, 0x8b], format: 'compressed', reason: 'gzip-compressed data' },
  { bytes: [0x50, 0x4b, 0x03, 0x04], format: 'compressed', reason: 'a zip archive, or an office document' },
  { bytes: [0x50, 0x4b, 0x05, 0x06], format: 'compressed', reason: 'an empty zip archive' },
  { bytes: [0x28, 0xb5, 0x2f, 0xfd], format: 'compressed', reason: 'zstd-compressed data' },
  { bytes: [0xfd, 0x37, 0x7a, 0x58, 0x5a, 0x00], format: 'compressed', reason: 'xz-compressed data' },
  { bytes: ascii('BZh'), format: 'compressed', reason: 'bzip2-compressed data' },
  { bytes: [0x37, 0x7a, 0xbc, 0xaf, 0x27, 0x1c], format: 'compressed', reason: 'a 7z archive' },
  { bytes: ascii('Rar!'), format: 'compressed', reason: 'a RAR archive' },
  { bytes: ascii('ustar'), offset: 257, format: 'compressed', reason: 'a tar archive' },
  { bytes: ascii('%PDF-'), format: 'foreign', reason: 'a PDF document' },
  { bytes: [0x89, 0x50, 0x4e, 0x47], format: 'foreign', reason: 'a PNG picture' },
  { bytes: [0xff, 0xd8, 0xff], format: 'foreign', reason: 'a JPEG picture' },
  { bytes: ascii('SQLite format 3'), format: 'foreign', reason: 'an SQLite database' },
  { bytes: ascii('PAR1'), format: 'foreign', reason: 'a Parquet file' },
  { bytes: [0x89, 0x48, 0x44, 0x46], format: 'foreign', reason: 'an HDF5 file' },
  { bytes: ascii('MATLAB'), format: 'foreign', reason: 'a MATLAB data file' },
  { bytes: [0xd0, 0xcf, 0x11, 0xe0], format: 'foreign', reason: 'an old office document' },
  { bytes: [0xff, 0xfe], format: 'utf16', reason: 'UTF-16 text (little endian)' },
  { bytes: [0xfe, 0xff], format: 'utf16', reason: 'UTF-16 text (big endian)' },
];

/**
 * `(seconds.micros) interface id#data`, the log form of candump; and its long form with a length in brackets, with or
 * without time, date and direction.
 */
const CANDUMP_LINE =
  /^\s*(?:\([\d-]+(?: [\d:]+)?\.\d+\)\s+\S+\s+[0-9A-F]{3,8}#|(?:\([\d-]+(?: [\d:]+)?\.\d+\)\s+)?\S+\s+(?:[RT]X [B-] [E-]\s+)?[0-9A-F]{3,8}\s+\[ ?\d+\])/i;

/** How much of the file recognition looks at (bytes); and lines, of which the first may be torn. */
const LOOK_BYTES = 4096;
const LOOK_LINES = 3;

/**
 * Tells what a file is from its first bytes, never from its name. Text that is nothing better known is `csv` when two
 * lines hold a delimiter, else `text`.
 */
export function recogniseFormat(firstBytes: Uint8Array): RecognisedFormat {
  if (firstBytes.length === 0) return { format: 'empty', reason: 'no bytes' };
  const signature = SIGNATURES.find((entry) => startsWith(firstBytes, entry.bytes, entry.offset ?? 0));
  if (signature !== undefined) return { format: signature.format, reason: signature.reason };
  const head = firstBytes.subarray(0, LOOK_BYTES);
  const zeroCount = head.reduce((count, byte) => count + (byte === 0 ? 1 : 0), 0);
  if (zeroCount === head.length) return { format: 'binary', reason: 'nothing but zero bytes' };
  if (zeroCount > head.length / 4 && isMostlyText(head)) {
    return { format: 'utf16', reason: 'UTF-16 text without a byte order mark' };
  }
  if (zeroCount > 0 || !isMostlyText(head)) return { format: 'binary', reason: 'binary data of no known kind' };
  return recogniseText(new TextDecoder('windows-1252').decode(head));
}

function recogniseText(text: string): RecognisedFormat {
  const lines = text.split(/\r\n|\n|\r/).filter((line) => line.trim() !== '');
  const first = (lines[0] ?? '').replace(/^\u00ef\u00bb\u00bf/, '');
  if (first === '') return { format: 'empty', reason: 'blank lines only' };
  if (lines.slice(0, LOOK_LINES).some((line) => CANDUMP_LINE.test(line)))
    return { format: 'candump', reason: 'candump lines of bus frames' };
  if (/^\s*\{.*"/.test(first)) return { format: 'jsonLines', reason: 'JSON text' };
  if (/^\s*<(?:\?xml|!doctype|html)/i.test(first)) return { format: 'foreign', reason: 'an HTML or XML document' };
  if (lines.some((line) => /[,;\t]/.test(line))) return { format: 'csv', reason: 'delimited text' };
  return { format: 'text', reason: `text without a delimiter, beginning “${first.slice(0, 40)}”` };
}

/** Whether nearly all bytes are printable or blanks; zeros are left to the caller. */
function isMostlyText(head: Uint8Array): boolean {
  let controlCount = 0;
  for (const byte of head) if (byte !== 0 && byte < 32 && byte !== 9 && byte !== 10 && byte !== 13) controlCount++;
  return controlCount <= head.length / 100;
}

function startsWith(bytes: Uint8Array, expected: readonly number[], offset: number): boolean {
  return bytes.length >= offset + expected.length && expected.every((byte, i) => bytes[offset + i] === byte);
}

function ascii(text: string): number[] {
  return Array.from(text, (letter) => letter.charCodeAt(0));
}

/** The error that refuses a format which is not read. */
export function refusalOf(recognised: RecognisedFormat): LogFormatError {
  return new LogFormatError(REFUSAL_CODES[recognised.format] ?? 'format_not_accepted', {
    found: recognised.reason,
    expected: ACCEPTED_FORMATS,
  });
}
