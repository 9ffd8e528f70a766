import { CalibrationError } from '../calibration-error.js';

/** Deeper nesting is refused; it also ends the walk through an object that contains itself. */
const MAX_DEPTH = 256;

/** With the u flag a surrogate that is part of a pair is read as one character and does not match. */
const LONE_SURROGATE = /\p{Surrogate}/u;

/**
 * The canonical JSON text of a value: RFC 8785 (keys sorted by UTF-16 code units, no white space, numbers as ECMAScript
 * prints them; −0 becomes 0). Throws `notCanonical`, naming the place, for NaN and infinities, lone surrogates,
 * undefined, functions, symbols, bigints, and objects that are neither plain nor arrays.
 * @example canonicalJson({ b: 1, a: [1e21, '€'] })   // '{"a":[1e+21,"€"],"b":1}'
 */
export function canonicalJson(value: unknown): string {
  return write(value, []);
}

function write(value: unknown, path: (string | number)[]): string {
  switch (typeof value) {
    case 'boolean':
      return String(value);
    case 'number':
      if (!Number.isFinite(value)) throw refusal(path, `the number ${value}`);
      return String(value);
    case 'string':
      return writeString(value, path);
    case 'object':
      return value === null ? 'null' : writeStructure(value, path);
    default:
      throw refusal(path, `a value of type ${typeof value}`);
  }
}

function writeString(value: string, path: (string | number)[]): string {
  if (LONE_SURROGATE.test(value)) throw refusal(path, 'text with a lone surrogate');
  return JSON.stringify(value);
}

function writeStructure(value: object, path: (string | number)[]): string {
  if (path.length >= MAX_DEPTH) throw refusal(path.slice(0, 4), `nesting deeper than ${MAX_DEPTH}`);
  if (Array.isArray(value)) {
    // Array.from visits holes too, so that they are refused like undefined.
    return `[${Array.from(value, (entry: unknown, i) => writeAt(entry, path, i)).join(',')}]`;
  }
  const prototype: unknown = Object.getPrototypeOf(value);
  if (prototype !== Object.prototype && prototype !== null) throw refusal(path, 'an object that is not plain');
  const members = Object.entries(value)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([key, entry]) => `${writeString(key, path)}:${writeAt(entry, path, key)}`);
  return `{${members.join(',')}}`;
}

function writeAt(value: unknown, path: (string | number)[], step: string | number): string {
  path.push(step);
  const text = write(value, path);
  path.pop();
  return text;
}

function refusal(path: readonly (string | number)[], found: string): CalibrationError {
  const place = ['$', ...path].join('.');
  return new CalibrationError('notCanonical', `Canonical JSON cannot hold ${found} at ${place}.`);
}
