import type { ProblemList } from './transfer-problem.js';

/** What parts the cells of a row. */
export type Delimiter = ',' | ';' | '\t';

/** A row of delimited text with the line on which it begins. */
export interface TextRow {
  readonly line: number;
  readonly cells: readonly string[];
}

/** Cells of a row that are kept: more than any table has, fewer than could fill the memory. */
const MAX_CELLS = 1000;

/** A row in the form of RFC 4180, with its line end CRLF. */
export function writeRow(cells: readonly (string | number)[], delimiter: Delimiter): string {
  return `${cells.map((cell) => writeCell(cell, delimiter)).join(delimiter)}\r\n`;
}

function writeCell(cell: string | number, delimiter: Delimiter): string {
  // Numbers are untouched: the shortest decimal form that reads back as the same number.
  if (typeof cell === 'number') return String(cell);
  const safe = guardFormula(cell);
  return safe.includes(delimiter) || /["\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** Text that a spreadsheet would take for a formula gets an apostrophe before it. */
export function guardFormula(text: string): string {
  return /^[=+\-@\t\r]./s.test(text) ? `'${text}` : text;
}

/**
 * The rows of delimited text: RFC 4180 quoting, any line end, a quotation mark inside an unquoted cell as itself. Blank
 * cells at the end of a row and blank rows are left out, as spreadsheets pad with both. Of a row no more than 1,000 cells
 * are kept.
 */
export function* readRows(text: string, delimiter: Delimiter, problems: ProblemList): Generator<TextRow> {
  const scanner = new CellScanner(text, delimiter);
  while (!scanner.isAtEnd) {
    const { line } = scanner;
    const cells = scanner.readRow(problems);
    while (cells.at(-1)?.trim() === '') cells.pop();
    if (cells.length > 0) yield { line, cells };
  }
}

class CellScanner {
  readonly #text: string;
  readonly #delimiter: Delimiter;
  #at = 0;
  line = 1;

  constructor(text: string, delimiter: Delimiter) {
    this.#text = text;
    this.#delimiter = delimiter;
  }

  get isAtEnd(): boolean {
    return this.#at >= this.#text.length;
  }

  readRow(problems: ProblemList): string[] {
    const cells: string[] = [];
    for (;;) {
      const cell = this.#text[this.#at] === '"' ? this.#readQuoted(problems) : this.#readPlain();
      if (cells.length < MAX_CELLS) cells.push(cell);
      if (this.#text[this.#at] !== this.#delimiter) break;
      this.#at++;
    }
    this.#skipLineEnd();
    return cells;
  }

  #readPlain(): string {
    const start = this.#at;
    while (!this.#isAtCellEnd()) this.#at++;
    return this.#text.slice(start, this.#at);
  }

  #readQuoted(problems: ProblemList): string {
    const { line } = this;
    let cell = '';
    this.#at++;
    for (;;) {
      const end = this.#text.indexOf('"', this.#at);
      if (end < 0) {
        problems.add('a quotation mark is opened and never closed. Close it, or fetch the file again.', { line });
        this.#at = this.#text.length;
        return cell;
      }
      const part = this.#text.slice(this.#at, end);
      this.line += part.split(/\r\n|\n|\r/).length - 1;
      cell += part;
      this.#at = end + 1;
      if (this.#text[this.#at] !== '"') break;
      cell += '"';
      this.#at++;
    }
    const rest = this.#readPlain();
    if (rest.trim() !== '')
      problems.add('text follows a closing quotation mark. Double the marks inside a cell.', { line });
    return cell;
  }

  #isAtCellEnd(): boolean {
    const character = this.#text[this.#at];
    return character === undefined || character === this.#delimiter || character === '\n' || character === '\r';
  }

  #skipLineEnd(): void {
    if (this.isAtEnd) return;
    this.#at += this.#text.startsWith('\r\n', this.#at) ? 2 : 1;
    this.line++;
  }
}
