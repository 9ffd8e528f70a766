import type { CsvDialect } from './csv-dialect.js';

export interface DecodedHead extends Pick<CsvDialect, 'encoding' | 'hasByteOrderMark' | 'lineEnd'> {
  readonly text: string;
  /** Byte offset in the file of a position in `text`. */
  byteOffsetOf(textIndex: number): number;
}

const BYTE_ORDER_MARK = [0xef, 0xbb, 0xbf];

/** Decodes the beginning of a text file: UTF-8 where it is valid (a cut last letter is left out), else Windows-1252. */
export function decodeHead(firstBytes: Uint8Array): DecodedHead {
  const hasByteOrderMark = BYTE_ORDER_MARK.every((byte, i) => firstBytes[i] === byte);
  const markLength = hasByteOrderMark ? BYTE_ORDER_MARK.length : 0;
  const bytes = firstBytes.subarray(markLength);
  const utf8 = decodeUtf8(bytes);
  const text = utf8 ?? new TextDecoder('windows-1252').decode(bytes);
  const byteLength = (part: string) => (utf8 === undefined ? part.length : new TextEncoder().encode(part).length);
  return {
    text,
    encoding: utf8 === undefined ? 'windows-1252' : 'utf-8',
    hasByteOrderMark,
    lineEnd: !text.includes('\n') && text.includes('\r') ? '\r' : '\n',
    byteOffsetOf: (textIndex) => markLength + byteLength(text.slice(0, textIndex)),
  };
}

function decodeUtf8(bytes: Uint8Array): string | undefined {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes, { stream: true });
  } catch (error) {
    if (error instanceof TypeError) return undefined;
    throw error;
  }
}
