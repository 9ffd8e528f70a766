import { COMMENT_PREFIXES } from './csv/csv-dialect.js';

/** Lines that are looked through; a statement stands at the top. */
const HEAD_LINES = 40;
const MAX_LENGTH = 200;

/**
 * What a text log says that the control unit ran, as written; null when it does not say. Read are a comment above the
 * data of a table, `# calibration: 3f9a0c1d` (any comment prefix, `:` or `=`, any case), and a text under the key
 * `calibration` of an object of JSON lines. Meant are the first eight or more digits of a content hash, or the name of
 * a revision such as `Tern shore r3`; what it names is for the caller to find out.
 * @param head the first bytes of the file, UTF-8
 */
export function statedCalibration(head: Uint8Array): string | null {
  const lines = new TextDecoder().decode(head.subarray(0, 1 << 16)).split(/\r\n|\n|\r/, HEAD_LINES);
  for (const line of lines) {
    const text = line.replace(/^\uFEFF/, '').trim();
    const stated = text.startsWith('{') ? ofObject(text) : ofComment(text);
    if (stated !== null) return stated;
  }
  return null;
}

function ofComment(text: string): string | null {
  const prefix = COMMENT_PREFIXES.find((start) => text.startsWith(start));
  if (prefix === undefined) return null;
  return clean(/^\s*calibration\s*[:=]\s*(.+)$/i.exec(text.slice(prefix.length))?.[1]);
}

function ofObject(text: string): string | null {
  try {
    const value: unknown = JSON.parse(text);
    if (typeof value !== 'object' || value === null || !('calibration' in value)) return null;
    return typeof value.calibration === 'string' ? clean(value.calibration) : null;
  } catch {
    return null;
  }
}

function clean(text: string | undefined): string | null {
  const cleaned =
    text
      ?.trim()
      .replace(/^(["'])(.*)\1$/, '$2')
      .trim()
      .slice(0, MAX_LENGTH) ?? '';
  return cleaned === '' ? null : cleaned;
}
