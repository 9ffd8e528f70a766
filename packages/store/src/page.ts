import { StoreError } from './store-error.js';

/** What is asked of a list: at most `limit` rows after the place that `cursor` (from the page before) marks. */
export interface PageRequest {
  readonly cursor?: string;
  readonly limit: number;
}

/** Rows of a list. `nextCursor` is null on the last page; `totalCount` counts every row that matches. */
export interface Page<T> {
  readonly items: readonly T[];
  readonly nextCursor: string | null;
  readonly totalCount: number;
}

/** The sort key of the last row of a page: what the list is ordered by, then the id. */
export type PageKey = readonly [number | string | null, number | string];

/**
 * Cuts a page out of rows that were asked for with one more than the limit: the extra row says that there is a next.
 * Keys instead of offsets, so that rows coming in meanwhile neither repeat nor hide others.
 */
export function pageOf<R, T>(
  rows: readonly R[],
  options: {
    readonly limit: number;
    readonly totalCount: number;
    readonly keyOf: (row: R) => PageKey;
    readonly toItem: (row: R) => T;
  },
): Page<T> {
  const kept = rows.slice(0, options.limit);
  const last = rows.length > options.limit ? kept.at(-1) : undefined;
  return {
    items: kept.map(options.toItem),
    nextCursor: last === undefined ? null : encodeKey(options.keyOf(last)),
    totalCount: options.totalCount,
  };
}

/** The key that a cursor stands for; undefined for the first page. Throws `bad_cursor`. */
export function pageKey(cursor: string | undefined): PageKey | undefined {
  if (cursor === undefined) return undefined;
  try {
    const key: unknown = JSON.parse(Buffer.from(cursor, 'base64url').toString('utf8'));
    if (isKey(key)) return key;
  } catch {
    // Told below: text that is no JSON is as wrong as JSON of another form.
  }
  throw new StoreError('bad_cursor', `The cursor '${cursor.slice(0, 40)}' is not one that this list gave out.`);
}

function encodeKey(key: PageKey): string {
  return Buffer.from(JSON.stringify(key), 'utf8').toString('base64url');
}

function isKey(value: unknown): value is PageKey {
  const isPart = (part: unknown) => typeof part === 'string' || typeof part === 'number';
  return Array.isArray(value) && value.length === 2 && (value[0] === null || isPart(value[0])) && isPart(value[1]);
}
