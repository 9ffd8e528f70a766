import type { RevisionContent, TableContent } from '../document/content.js';
import { ProblemList, quoted, type Refused } from './transfer-problem.js';

type JsonObject = Record<string, unknown>;

/**
 * Content out of parsed JSON: the right members with values of the right kind, and nothing beside them. Whether it fits
 * a layout is for `checkAgainstLayout` to say.
 */
export function contentOfJson(
  value: unknown,
  path: string,
): { readonly kind: 'read'; readonly content: RevisionContent } | Refused {
  const problems = new ProblemList();
  const reader = new JsonReader(problems);
  const content = reader.content(value, path);
  return content && problems.isEmpty ? { kind: 'read', content } : problems.refusal();
}

/** Whether parsed JSON is an object, the only kind of value that has members. */
export function isJsonObject(value: unknown): value is JsonObject {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** How messages call a value of the wrong kind. */
export function describeJson(value: unknown): string {
  if (typeof value === 'string') return quoted(value);
  if (Array.isArray(value)) return 'a list';
  return typeof value === 'object' && value !== null ? 'an object' : String(value);
}

class JsonReader {
  readonly #problems: ProblemList;
  #tableId: string | null = null;

  constructor(problems: ProblemList) {
    this.#problems = problems;
  }

  content(value: unknown, path: string): RevisionContent | null {
    const members = this.#object(value, path, ['platformId', 'layoutVersion', 'tables']);
    if (!members) return null;
    const { platformId, layoutVersion, tables } = members;
    if (typeof platformId !== 'string') this.#wrong(`${path}.platformId`, platformId, 'a text');
    if (!Number.isInteger(layoutVersion)) this.#wrong(`${path}.layoutVersion`, layoutVersion, 'a whole number');
    return {
      platformId: String(platformId),
      layoutVersion: Number(layoutVersion),
      tables: this.#record(tables, `${path}.tables`, (table, at, id) => {
        this.#tableId = id;
        return this.#table(table, at);
      }),
    };
  }

  #table(value: unknown, path: string): TableContent {
    const { axes, values } = this.#object(value, path, ['axes', 'values']) ?? {};
    return {
      axes: this.#list(axes, `${path}.axes`, (axis, at) => this.#numbers(axis, at)),
      values: this.#record(values, `${path}.values`, (numbers, at) => this.#numbers(numbers, at)),
    };
  }

  #numbers(value: unknown, path: string): number[] {
    return this.#list(value, path, (entry, at) => {
      if (typeof entry === 'number' && Number.isFinite(entry)) return entry + 0;
      this.#wrong(at, entry, 'a number');
      return 0;
    });
  }

  #list<T>(value: unknown, path: string, read: (entry: unknown, path: string) => T): T[] {
    if (Array.isArray(value)) return value.map((entry: unknown, i) => read(entry, `${path}[${i}]`));
    this.#wrong(path, value, 'a list');
    return [];
  }

  #record<T>(value: unknown, path: string, read: (entry: unknown, path: string, key: string) => T): Record<string, T> {
    if (isJsonObject(value)) {
      return Object.fromEntries(
        Object.entries(value).map(([key, entry]) => [key, read(entry, `${path}.${quoted(key).slice(1, -1)}`, key)]),
      );
    }
    this.#wrong(path, value, 'an object');
    return {};
  }

  #object(value: unknown, path: string, names: readonly string[]): JsonObject | null {
    if (!isJsonObject(value)) {
      this.#wrong(path, value, 'an object');
      return null;
    }
    for (const name of Object.keys(value)) {
      if (!names.includes(name)) {
        this.#add(`${path} has a member ${quoted(name)}, which is unknown. Remove it; ${names.join(', ')} are known.`);
      }
    }
    for (const name of names) if (!Object.hasOwn(value, name)) this.#add(`${path} has no member '${name}'. Add it.`);
    return value;
  }

  #wrong(path: string, found: unknown, expected: string): void {
    // What is absent was named when its object was looked at.
    if (found !== undefined) this.#add(`${path}: found ${describeJson(found)}, expected ${expected}.`);
  }

  #add(message: string): void {
    this.#problems.add(message, { tableId: this.#tableId });
  }
}
