import { CalibrationError } from '../calibration-error.js';
import { canonicalJson } from '../document/canonical-json.js';
import type { RevisionContent } from '../document/content.js';
import { contentHash } from '../document/content-hash.js';
import type { Layout } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { checkAgainstLayout, isOfLayout, otherLayoutMessage } from './check-against-layout.js';
import { contentOfJson, describeJson, isJsonObject } from './content-of-json.js';
import { parseJson } from './parse-json.js';
import { ProblemList, quoted, type Refused } from './transfer-problem.js';

export const DOCUMENT_FORMAT = 'syncline-calibration';
export const DOCUMENT_FORMAT_VERSION = 1;

/** Where the content came from; for people, not read back. */
export interface DocumentAbout {
  readonly calibrationTitle: string;
  readonly revisionNumber: number;
  readonly message: string;
  readonly authorName: string;
  /** ISO 8601 with zone. */
  readonly createdAt: string;
}

/** A revision's content with its identity and origin, as it is written to a file. `documentSchema` describes it. */
export interface CalibrationDocument {
  readonly format: typeof DOCUMENT_FORMAT;
  readonly formatVersion: typeof DOCUMENT_FORMAT_VERSION;
  readonly platformId: string;
  readonly layoutVersion: number;
  readonly contentHash: string;
  readonly about: DocumentAbout;
  readonly content: RevisionContent;
}

/** A document as canonical JSON (RFC 8785): equal input gives equal bytes. Throws `otherLayout` and `notCanonical`. */
export function writeDocument(input: {
  readonly layout: Layout;
  readonly content: RevisionContent;
  readonly about: DocumentAbout;
}): string {
  const { layout, content, about } = input;
  if (!isOfLayout(content, layout)) throw new CalibrationError('otherLayout', otherLayoutMessage(content, layout));
  const document: CalibrationDocument = {
    format: DOCUMENT_FORMAT,
    formatVersion: DOCUMENT_FORMAT_VERSION,
    platformId: content.platformId,
    layoutVersion: content.layoutVersion,
    contentHash: contentHash(content),
    about,
    content,
  };
  return canonicalJson(document);
}

export interface DocumentRead {
  readonly kind: 'read';
  readonly form: 'document' | 'content';
  readonly content: RevisionContent;
}

/**
 * The content of a document, or of bare content as JSON; refused when it is not the layout's, or when the document
 * states a hash that the content does not have. A document without `contentHash` or `about` is taken.
 */
export function readDocument(text: string, layout: Layout, platform: Platform): DocumentRead | Refused {
  const parsed = parseJson(text);
  if (parsed.kind === 'refused') return parsed;
  const { value } = parsed;
  const form = isJsonObject(value) && Object.hasOwn(value, 'format') ? 'document' : 'content';
  const read =
    form === 'document' ? contentOfDocument(value as Record<string, unknown>) : contentOfJson(value, 'content');
  if (read.kind === 'refused') return read;
  const checked = checkAgainstLayout(read.content, layout, platform);
  return checked.kind === 'refused' ? checked : { ...checked, form };
}

function contentOfDocument(document: Record<string, unknown>): ReturnType<typeof contentOfJson> {
  const problems = new ProblemList();
  checkHead(document, problems);
  if (!problems.isEmpty) return problems.refusal();
  const read = contentOfJson(document.content, 'content');
  if (read.kind === 'refused') return read;
  for (const name of ['platformId', 'layoutVersion'] as const) {
    if (document[name] === read.content[name]) continue;
    problems.add(
      `${name}: found ${describeJson(document[name])}, but ${read.content[name]} in content. Make them equal.`,
    );
  }
  if (Object.hasOwn(document, 'contentHash')) checkHash(document.contentHash, read.content, problems);
  return problems.isEmpty ? read : problems.refusal();
}

function checkHead(document: Record<string, unknown>, problems: ProblemList): void {
  const known = ['format', 'formatVersion', 'platformId', 'layoutVersion', 'contentHash', 'about', 'content'];
  const { format, formatVersion } = document;
  if (format !== DOCUMENT_FORMAT) {
    problems.add(`format: found ${describeJson(format)}, expected '${DOCUMENT_FORMAT}'. Choose another file.`);
  } else if (formatVersion !== DOCUMENT_FORMAT_VERSION) {
    const found = describeJson(formatVersion);
    problems.add(`formatVersion: found ${found}, expected ${DOCUMENT_FORMAT_VERSION}. Export it in that version.`);
  }
  if (!Object.hasOwn(document, 'content')) problems.add("The document has no member 'content'. Add it.");
  for (const name of Object.keys(document)) {
    if (!known.includes(name)) problems.add(`The document has a member ${quoted(name)}, which is unknown. Remove it.`);
  }
}

function checkHash(stated: unknown, content: RevisionContent, problems: ProblemList): void {
  const expected = contentHash(content);
  if (stated === expected) return;
  problems.add(
    `contentHash: found ${describeJson(stated)}, but the content has ${expected}. The content was changed after export: ` +
      'fetch the file again, or remove the member contentHash if the change is meant.',
  );
}
