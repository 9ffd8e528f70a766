import type { RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { completeTables } from './complete-tables.js';
import { decodeText } from './decode-text.js';
import { readDocument } from './document.js';
import { type ReadableImage, readImage } from './read-image.js';
import { readIntelHex } from './read-intel-hex.js';
import { readSRecord } from './read-s-record.js';
import { findDelimiter, readTables } from './read-tables.js';
import { type Refused, refusedFor } from './transfer-problem.js';

/** A larger file is refused unread: the records of the largest image take 12 MiB. */
export const MAX_IMPORT_BYTES = 16 * 1024 ** 2;

/** What a file was taken for. */
export type ImportFormat = 'document' | 'content' | 'intelHex' | 'sRecord' | 'tables' | 'binary';

export interface ImportedContent {
  readonly kind: 'content';
  readonly format: ImportFormat;
  readonly content: RevisionContent;
  /** What was understood and taken from elsewhere, in sentences for the person who imports. */
  readonly notes: readonly string[];
}

export interface ImportInput {
  readonly layout: Layout;
  readonly platform: Platform;
  readonly bytes: Uint8Array;
  /** Only its ending counts: `.bin` settles what a file is that could be text as well. */
  readonly fileName?: string;
  /** Content of the same layout from which a file of tables takes what it leaves out. */
  readonly base?: RevisionContent;
}

/**
 * Content out of a file in any format that is written here, recognised by what is in it. Never throws for the bytes of a
 * file, and takes nothing from a file with a problem. The content is of the layout's shape; `checkContent` judges the
 * values.
 */
export function importContent(input: ImportInput): ImportedContent | Refused {
  const { layout, platform, bytes, fileName = '' } = input;
  if (bytes.length === 0) return refusedFor('The file is empty. Choose another one.');
  if (bytes.length > MAX_IMPORT_BYTES) {
    return refusedFor(`The file has ${bytes.length} bytes, at most ${MAX_IMPORT_BYTES} are read. Choose another file.`);
  }
  const isBinarySize = bytes.length === layout.image?.byteCount;
  const isBinary = isBinarySize && /\.(bin|img)$/i.test(fileName);
  const text = isBinary ? null : decodeText(bytes);
  const format = text === null ? null : recogniseText(text);
  if (text !== null && format !== null) return importText(text, format, input);
  if (isBinarySize && layout.image) {
    return importImage('binary', layout, platform, { startAddress: layout.image.startAddress, bytes });
  }
  return refusedFor(unknownMessage(input));
}

/** The text formats by how a file begins. */
function recogniseText(text: string): 'json' | 'intelHex' | 'sRecord' | 'tables' | null {
  const start = text.trimStart().slice(0, 100);
  if (start.startsWith('{')) return 'json';
  if (/^:[0-9A-Fa-f]{8}/.test(start)) return 'intelHex';
  if (/^[Ss][0-9][0-9A-Fa-f]{2}/.test(start)) return 'sRecord';
  return findDelimiter(start) ? 'tables' : null;
}

function importText(
  text: string,
  format: NonNullable<ReturnType<typeof recogniseText>>,
  input: ImportInput,
): ImportedContent | Refused {
  const { layout, platform } = input;
  switch (format) {
    case 'json': {
      const read = readDocument(text, layout, platform);
      return read.kind === 'refused' ? read : { kind: 'content', format: read.form, content: read.content, notes: [] };
    }
    case 'tables':
      return importTables(text, input);
    case 'intelHex':
    case 'sRecord': {
      if (!layout.image) return refusedFor(noImageMessage(layout));
      const readRecords = format === 'intelHex' ? readIntelHex : readSRecord;
      const read = readRecords(text, layout.image, layout.image.fill);
      return read.kind === 'refused' ? read : importImage(format, layout, platform, read.memory);
    }
    default:
      return format satisfies never;
  }
}

function importTables(text: string, { layout, platform, base }: ImportInput): ImportedContent | Refused {
  const read = readTables(text, layout, platform);
  if (read.kind === 'refused') return read;
  const completed = completeTables(read.tables, layout, platform, base);
  if (completed.kind === 'refused') return completed;
  const { content, notes } = completed;
  return { kind: 'content', format: 'tables', content, notes: [read.understood, ...notes] };
}

function importImage(
  format: 'binary' | 'intelHex' | 'sRecord',
  layout: Layout,
  platform: Platform,
  image: ReadableImage,
): ImportedContent | Refused {
  const read = readImage(layout, platform, image);
  return read.kind === 'refused' ? read : { kind: 'content', format, content: read.content, notes: [] };
}

function unknownMessage({ layout, bytes }: ImportInput): string {
  const binary = layout.image ? `, or a memory image of exactly ${layout.image.byteCount} bytes` : '';
  return (
    `The file (${bytes.length} bytes) is of no known format. Known are a calibration document or content as JSON, ` +
    `Intel HEX, S-records, tables as CSV or TSV whose first line begins with 'table'${binary}.`
  );
}

function noImageMessage(layout: Layout): string {
  return `Layout version ${layout.version} has no image map, so records of memory cannot be read. Import a document or tables.`;
}
