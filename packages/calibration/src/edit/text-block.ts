import { CalibrationError } from '../calibration-error.js';
import { assertInside, type EditedGrid, gridSize, type Selection } from './selection.js';

/** A number as people and spreadsheets write it, with a point or a comma before the decimals. */
const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?$/i;

/** The selected cells as text for the clipboard: columns parted by tabs, rows by line feeds, full precision, decimal point. */
export function formatBlock(grid: EditedGrid, selection: Selection): string {
  assertInside(grid, selection);
  const { columns } = gridSize(grid.axes);
  const rows: string[] = [];
  for (let row = selection.startRow; row < selection.endRow; row++) {
    rows.push(grid.values.slice(row * columns + selection.startColumn, row * columns + selection.endColumn).join('\t'));
  }
  return rows.join('\n');
}

/**
 * A block of numbers from the clipboard: columns parted by tabs, rows by line ends. A single comma in a cell is a decimal
 * comma, and a block must keep to one decimal mark; thousands marks are refused rather than guessed at. Throws `badBlock`,
 * naming row and column (counted from 1), what was found and what is expected.
 */
export function parseBlock(text: string): number[][] {
  const lines = text.replace(/(\r\n|\r|\n)$/, '').split(/\r\n|\r|\n/);
  const cells = lines.map((line) => line.split('\t').map(tidy));
  const width = cells[0].length;
  const marks = new Set<string>();
  return cells.map((row, r) => {
    if (row.length !== width) {
      throw refusal(`Row ${r + 1} has ${row.length} columns, the first has ${width}. Copy a rectangle of cells.`);
    }
    return row.map((cell, c) => {
      const place = `Row ${r + 1}, column ${c + 1}: found '${shorten(cell)}'`;
      if (!NUMBER.test(cell)) {
        throw refusal(
          `${place}, expected a plain number without unit or thousands mark. Mend the cell and copy again.`,
        );
      }
      const mark = /[.,]/.exec(cell)?.[0];
      if (mark) marks.add(mark);
      if (marks.size > 1) {
        throw refusal(
          `${place}, but a cell before it uses another decimal mark. Write all cells with a point or all with a comma.`,
        );
      }
      const value = Number(cell.replace(',', '.'));
      if (!Number.isFinite(value)) throw refusal(`${place}, which is beyond what a number can hold.`);
      return value;
    });
  });
}

// Spreadsheets and web pages write no-break spaces and the true minus sign.
function tidy(cell: string): string {
  return cell.trim().replace(/^−/, '-');
}

function shorten(cell: string): string {
  return cell.length > 40 ? `${cell.slice(0, 40)}…` : cell;
}

function refusal(message: string): CalibrationError {
  return new CalibrationError('badBlock', message);
}
