import type { Delimiter } from './delimited-text.js';
import { quoted } from './transfer-problem.js';

const WITH_POINT = /^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d+)?$/i;
const WITH_COMMA = /^[+-]?(\d+,\d*|,\d+)(e[+-]?\d+)?$/i;

/**
 * Reads the numbers of one file. A comma is a decimal mark only where it does not part cells, and a file keeps to one
 * decimal mark, so that a mark of thousands is not taken for it.
 */
export class DecimalReader {
  readonly #mayUseComma: boolean;
  #mark: '.' | ',' | null = null;

  constructor(delimiter: Delimiter) {
    this.#mayUseComma = delimiter !== ',';
  }

  /** The decimal mark of the numbers read so far; null while all were whole. */
  get mark(): '.' | ',' | null {
    return this.#mark;
  }

  /** The number in a cell, or what is wrong with it. */
  read(cell: string): number | string {
    // The true minus sign comes from typeset pages.
    const text = cell.replace(/^−/, '-');
    const hasComma = this.#mayUseComma && WITH_COMMA.test(text);
    if (!hasComma && !WITH_POINT.test(text)) {
      return cell === '' ? 'it is empty, expected a number' : `found ${quoted(cell)}, expected a plain number`;
    }
    const mark = hasComma ? ',' : text.includes('.') ? '.' : null;
    if (mark && this.#mark && mark !== this.#mark) {
      return `found ${quoted(cell)}, but numbers before it have the decimal mark '${this.#mark}'`;
    }
    this.#mark ??= mark;
    const value = Number(text.replace(',', '.'));
    return Number.isFinite(value) ? value + 0 : `${quoted(cell)} is beyond what a number can hold`;
  }
}
