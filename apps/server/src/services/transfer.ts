import { createHash } from 'node:crypto';
import {
  buildImage,
  CalibrationError,
  canonicalJson,
  type DocumentAbout,
  documentSchema,
  importContent,
  type JsonSchema,
  type MemoryImage,
  writeDocument,
  writeIntelHex,
  writeSRecord,
  writeTable,
  writeTables,
} from '@syncline/calibration';
import type { EXPORT_FORMATS } from '@syncline/contract';
import { problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import type { CalibrationService, OpenedRevision } from './calibrations.js';
import type { DraftService, OpenedDraft } from './drafts.js';

export type ExportFormat = (typeof EXPORT_FORMATS)[number];

/** A file to be sent. */
export interface ExportedFile {
  readonly fileName: string;
  readonly mediaType: string;
  readonly bytes: Buffer;
  readonly sha256: string;
}

export interface ExportQuery {
  readonly format: ExportFormat;
  /** Only for `csv` and `tsv`; all tables when absent. */
  readonly table?: string;
}

export interface ImportQuery {
  readonly fileName: string;
  readonly parentId?: string;
  readonly layoutVersion?: number;
  readonly line?: string;
}

const FORMATS = {
  document: { ending: 'json', mediaType: 'application/json; charset=utf-8' },
  csv: { ending: 'csv', mediaType: 'text/csv; charset=utf-8' },
  tsv: { ending: 'tsv', mediaType: 'text/tab-separated-values; charset=utf-8' },
  intelHex: { ending: 'hex', mediaType: 'text/plain; charset=us-ascii' },
  sRecord: { ending: 'srec', mediaType: 'text/plain; charset=us-ascii' },
  binary: { ending: 'bin', mediaType: 'application/octet-stream' },
} as const satisfies Record<ExportFormat, unknown>;

export type TransferService = ReturnType<typeof createTransferService>;

/** Calibrations as files: written, read back, and described. */
export function createTransferService(calibrations: CalibrationService, drafts: DraftService) {
  return {
    exportRevision(revisionId: string, query: ExportQuery): ExportedFile {
      const revision = calibrations.open(revisionId);
      const { calibrationTitle, number } = revision.summary;
      const write = query.format === 'document' ? () => writeDocument({ ...revision, about: aboutOf(revision) }) : null;
      return toFile(`${calibrationTitle} r${number}`, query, write ? write() : writeContent(revision, query));
    },

    /** A draft leaves as text only: an image goes into a control unit, which no unchecked content may. */
    exportDraft(draftId: string, query: ExportQuery): ExportedFile {
      const draft = drafts.read(draftId);
      const { calibrationTitle, title } = draft.summary;
      const name = `${calibrationTitle} draft ${title}`;
      switch (query.format) {
        case 'document':
          // The bare content: a document vouches for a revision, which this is not yet.
          return toFile(name, query, canonicalJson(draft.content));
        case 'csv':
        case 'tsv':
          return toFile(name, query, writeContent(draft, query));
        default:
          throw problem('export.impossible', {
            detail: 'An image is made of a revision. Make one of the draft first.',
          });
      }
    },

    /** A draft with the content of a file. A file with a problem is refused whole. */
    importFile(actor: Actor, calibrationId: string, bytes: Uint8Array, query: ImportQuery): OpenedDraft {
      const { fileName, parentId, line } = query;
      const parent = parentId === undefined ? undefined : calibrations.open(parentId);
      if (parent && parent.summary.calibrationId !== calibrationId) {
        throw problem('revision.parentMismatch', { detail: `Revision '${parentId}' belongs to another calibration.` });
      }
      const version = query.layoutVersion ?? parent?.summary.layoutVersion;
      const { layout, platform } = calibrations.openNewestLayout(calibrationId, version);
      const base = parent?.summary.layoutVersion === layout.version ? parent.content : undefined;
      const imported = importContent({ layout, platform, bytes, fileName, base });
      if (imported.kind === 'refused') {
        const { problems } = imported;
        const more = problems.length > 1 ? ` (and ${problems.length - 1} more)` : '';
        throw problem('import.refused', {
          detail: `${problems[0].message}${more}`,
          importProblems: problems.map((entry) => ({ ...entry })),
        });
      }
      return drafts.begin(actor, calibrationId, {
        title: `Imported from ${fileName}`.slice(0, MAX_TITLE_LENGTH),
        line,
        origin: 'import',
        originNote: [`${fileName}, read as ${imported.format}.`, ...imported.notes].join(' '),
        parentId: parentId ?? null,
        content: imported.content,
      });
    },

    documentSchema: (platformId: string, layoutVersion: number): JsonSchema =>
      documentSchema(calibrations.openLayout(platformId, layoutVersion)),
  };
}

const MAX_TITLE_LENGTH = 200;

function aboutOf({ summary }: OpenedRevision): DocumentAbout {
  return {
    calibrationTitle: summary.calibrationTitle,
    revisionNumber: summary.number,
    message: summary.message,
    authorName: summary.authorName,
    createdAt: new Date(summary.createdAtMs).toISOString(),
  };
}

type Readable = Pick<OpenedRevision, 'layout' | 'platform' | 'content'>;

function writeContent(readable: Readable, { format, table }: ExportQuery): string | Uint8Array {
  switch (format) {
    case 'csv':
      return writeDelimited(readable, ',', table);
    case 'tsv':
      return writeDelimited(readable, '\t', table);
    case 'intelHex':
      return writeIntelHex(imageOf(readable));
    case 'sRecord':
      return writeSRecord(imageOf(readable));
    case 'binary':
      return imageOf(readable).bytes;
    case 'document':
      return canonicalJson(readable.content);
    default:
      return format satisfies never;
  }
}

function writeDelimited({ layout, platform, content }: Readable, delimiter: ',' | '\t', tableId?: string): string {
  if (tableId === undefined) return writeTables({ layout, platform, content, delimiter });
  const spec = layout.tables.find((table) => table.id === tableId);
  if (!spec) {
    const known = layout.tables.map(({ id }) => id).join(', ');
    throw problem('request.invalid', {
      detail: `The layout has no table '${tableId}'.`,
      fields: [{ path: 'querystring.table', message: `expected one of: ${known}` }],
    });
  }
  return writeTable(spec, platform, content.tables[tableId], { delimiter });
}

function imageOf({ layout, platform, content }: Readable): MemoryImage {
  try {
    return buildImage(layout, platform, content);
  } catch (error) {
    if (!(error instanceof CalibrationError)) throw error;
    throw problem('export.impossible', { detail: error.message, cause: error });
  }
}

function toFile(name: string, { format, table }: ExportQuery, content: string | Uint8Array): ExportedFile {
  const { ending, mediaType } = FORMATS[format];
  const bytes = typeof content === 'string' ? Buffer.from(content, 'utf8') : Buffer.from(content);
  const base = [name, table].filter(Boolean).join(' ');
  return {
    fileName: `${base.replace(/[/\\:*?"<>|]/g, '_')}.${ending}`,
    mediaType,
    bytes,
    sha256: createHash('sha256').update(bytes).digest('hex'),
  };
}
