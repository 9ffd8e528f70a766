import { quoted, type Refused, refusedFor } from './transfer-problem.js';

/** Content nests five deep; deeper text is no calibration. */
const MAX_DEPTH = 64;
/** A number of more characters is no measured value. */
const MAX_NUMBER_LENGTH = 400;

const SCALAR = /^(?:true|false|null|-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?)/;

/**
 * The value of a JSON text (RFC 8259). Beyond what JSON.parse does it names the line of a fault, and refuses a member
 * that is given twice, of which JSON.parse would drop the first in silence.
 */
export function parseJson(text: string): { readonly kind: 'parsed'; readonly value: unknown } | Refused {
  const fault = new JsonScanner(text).findFault();
  if (fault) {
    const line = text.slice(0, fault.at).split(/\r\n|\n|\r/).length;
    return refusedFor(`the JSON is damaged: ${fault.what}. Mend it, or export it again.`, { line });
  }
  try {
    return { kind: 'parsed', value: JSON.parse(text) as unknown };
  } catch {
    // Escapes inside strings are all that the scanner leaves to JSON.parse.
    return refusedFor('The JSON is damaged: a text has an escape that is none. Mend it, or export it again.');
  }
}

interface JsonFault {
  readonly at: number;
  readonly what: string;
}

/** What is open around the place being read: the member names so far of an object, or null for a list. */
type Container = Set<string> | null;

class JsonScanner {
  readonly #text: string;
  readonly #open: Container[] = [];
  #at = 0;

  constructor(text: string) {
    this.#text = text;
  }

  findFault(): JsonFault | null {
    let isValueNext = true;
    for (;;) {
      this.#skipSpace();
      const fault = isValueNext ? this.#readValue() : this.#readClosing();
      if (fault) return fault;
      isValueNext = this.#isValueNext;
      if (!isValueNext && this.#open.length === 0) break;
    }
    this.#skipSpace();
    return this.#at < this.#text.length ? this.#fault('text follows the end') : null;
  }

  /** Set by each step: whether a value must come next, or else a comma or a closing bracket. */
  #isValueNext = false;

  #readValue(): JsonFault | null {
    const character = this.#text[this.#at];
    this.#isValueNext = false;
    if (character === '{' || character === '[') return this.#readOpening(character);
    if (character === '"') return this.#readString() === null ? this.#fault('a text is not closed') : null;
    const scalar = SCALAR.exec(this.#text.slice(this.#at, this.#at + MAX_NUMBER_LENGTH))?.[0];
    if (scalar === undefined) return this.#unexpected('a value');
    this.#at += scalar.length;
    return null;
  }

  #readOpening(bracket: '{' | '['): JsonFault | null {
    if (this.#open.length >= MAX_DEPTH) return this.#fault(`it nests deeper than ${MAX_DEPTH}`);
    this.#at++;
    this.#skipSpace();
    if (this.#text[this.#at] === (bracket === '{' ? '}' : ']')) {
      this.#at++;
      return null;
    }
    this.#open.push(bracket === '{' ? new Set() : null);
    this.#isValueNext = true;
    return bracket === '{' ? this.#readName() : null;
  }

  #readClosing(): JsonFault | null {
    const container = this.#open[this.#open.length - 1];
    const character = this.#text[this.#at];
    const bracket = container ? '}' : ']';
    if (character === bracket) {
      this.#at++;
      this.#open.pop();
      this.#isValueNext = false;
      return null;
    }
    if (character !== ',') return this.#unexpected(`',' or '${bracket}'`);
    this.#at++;
    this.#isValueNext = true;
    return container ? this.#readName() : null;
  }

  #readName(): JsonFault | null {
    this.#skipSpace();
    const start = this.#at;
    if (this.#text[start] !== '"') return this.#unexpected('a member name in quotation marks');
    const name = this.#readString();
    if (name === null) return this.#fault('a text is not closed');
    const names = this.#open[this.#open.length - 1];
    if (names?.has(name)) return { at: start, what: `the member ${quoted(name)} is given twice` };
    names?.add(name);
    this.#skipSpace();
    if (this.#text[this.#at] !== ':') return this.#unexpected("':'");
    this.#at++;
    return null;
  }

  /** The text between quotation marks with its escapes as they stand, or null when it does not end. */
  #readString(): string | null {
    const start = this.#at + 1;
    for (let i = start; i < this.#text.length; i++) {
      const code = this.#text.charCodeAt(i);
      if (code < 0x20) return null;
      if (code === 0x5c) i++;
      else if (code === 0x22) {
        this.#at = i + 1;
        return this.#text.slice(start, i);
      }
    }
    return null;
  }

  #skipSpace(): void {
    while (' \t\r\n'.includes(this.#text[this.#at] ?? 'x')) this.#at++;
  }

  #unexpected(expected: string): JsonFault {
    const character = this.#text[this.#at];
    return this.#fault(`expected ${expected}, found ${character === undefined ? 'the end' : quoted(character)}`);
  }

  #fault(what: string): JsonFault {
    return { at: this.#at, what };
  }
}
