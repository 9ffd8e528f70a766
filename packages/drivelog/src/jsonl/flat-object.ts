/** A value that can stand in a column. */
export type FlatValue = number | string | boolean | null;

/** An object of one line of JSON; values may be nested, which no column can hold. */
export type LineObject = Readonly<Record<string, unknown>>;

/** The object that a line holds; undefined when the line is no JSON, or something else than an object. */
export function parseLine(text: string): LineObject | undefined {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return undefined;
  }
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as LineObject) : undefined;
}

export function isFlat(value: unknown): value is FlatValue {
  return value === null || typeof value === 'number' || typeof value === 'string' || typeof value === 'boolean';
}

/** A byte order mark before the first line. */
export function withoutMark(text: string): string {
  return text.startsWith('\ufeff') ? text.slice(1) : text;
}
