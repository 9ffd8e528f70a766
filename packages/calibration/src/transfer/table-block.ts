import type { TableContent } from '../document/content.js';
import type { AxisSpec, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { selectorsOf, variantsOf } from '../layout/variants.js';
import { findAxisFault } from '../tables/axis-order.js';
import type { DecimalReader } from './decimal-reader.js';
import { guardFormula, type TextRow } from './delimited-text.js';
import { axesLabel, VALUE_MARK, VARIANT_MARK, variantLabel, variantOfLabel } from './table-labels.js';
import { type ProblemList, quoted, type TransferProblem } from './transfer-problem.js';

/** A spreadsheet's reading of a shift as a day: `02. Jan`, `2-Jan`, `Jan 02`, `01/02/2026`. */
const LIKE_A_DATE = /^\d{1,4}[-./ ]+\p{L}{3}|^\d{1,4}[./]\d|^\p{L}{3,9}[-. ]+\d/u;

/** The rows of one variant. */
interface VariantRows {
  readonly line: number;
  /** Break points of the row axis, in the order of the rows. */
  readonly points: number[];
  readonly values: number[];
}

/** One table of a file while its rows come in: first the column heads, then the values. */
export class TableBlock {
  readonly spec: TableSpec;
  /** Line of the `table` row. */
  readonly line: number;
  readonly #variants: readonly string[];
  readonly #numbers: DecimalReader;
  readonly #rows = new Map<string, VariantRows>();
  /** Break points along the columns; null until the heads were read. */
  #columns: readonly number[] | null = null;
  #isUseless = false;

  private constructor(spec: TableSpec, platform: Platform, numbers: DecimalReader, line: number) {
    this.spec = spec;
    this.line = line;
    this.#variants = variantsOf(spec, platform);
    this.#numbers = numbers;
  }

  /** Begins a table; a quantity or unit other than the layout's is a problem. */
  static open(
    spec: TableSpec,
    platform: Platform,
    numbers: DecimalReader,
    { line, cells }: TextRow,
    problems: ProblemList,
  ): TableBlock {
    const block = new TableBlock(spec, platform, numbers, line);
    const [, , quantity = '', unit = '', ...rest] = cells;
    const wrong = (what: string, found: string, expected: string, advice: string) => {
      block.#add(problems, line, `${what} ${quoted(found)}, the layout has ${quoted(expected)}. ${advice}`);
    };
    if (!isSameText(quantity, spec.quantity)) wrong('quantity', quantity, spec.quantity, 'Choose the right table.');
    if (!isSameText(unit, spec.unit)) wrong('unit', unit, spec.unit, 'Convert the values to it and name it.');
    if (rest.length > 0) block.#add(problems, line, `found ${quoted(rest[0])} after the unit. Remove it.`);
    return block;
  }

  readRow(row: TextRow, problems: ProblemList): void {
    if (this.#isUseless) return;
    if (this.#columns) this.#readValues(row, this.#columns, problems);
    else this.#readHeads(row, problems);
  }

  /** What only the end of the table tells: a variant with too few rows, or a table with none. */
  checkEnd(problems: ProblemList): void {
    if (this.#isUseless) return;
    if (!this.#columns) this.#add(problems, this.line, `its line of column heads ('${VARIANT_MARK}', ...) is missing.`);
    else if (this.#rows.size === 0) this.#add(problems, this.line, 'it has no values. Add a row for each variant.');
    const expected = this.#rowAxis?.breakpoints.length ?? 1;
    for (const [variant, { line, points }] of this.#rows) {
      if (points.length < expected) {
        const found = `found ${points.length} of ${expected} rows. Add those that are missing.`;
        this.#add(problems, line, found, variant);
      } else if (this.#rowAxis) this.#checkRising(this.#rowAxis, points, line, problems);
    }
  }

  /** The table as far as the file states it; call it when nothing was wrong. */
  content(): TableContent {
    const [first] = this.#rows.values();
    const axes = [this.#rowAxis ? first.points : null, this.#columnAxis ? this.#columns : null];
    return {
      axes: axes.filter((axis) => axis !== null),
      values: Object.fromEntries([...this.#rows].map(([variant, { values }]) => [variant, values])),
    };
  }

  get #rowAxis(): AxisSpec | null {
    return this.spec.axes.length === 2 ? this.spec.axes[0] : null;
  }

  get #columnAxis(): AxisSpec | null {
    return this.spec.axes.at(-1) ?? null;
  }

  #readHeads(row: TextRow, problems: ProblemList): void {
    const { line, cells } = row;
    const axis = this.#columnAxis;
    const expected = axis ? [VARIANT_MARK, axesLabel(this.spec)] : [VARIANT_MARK, VALUE_MARK];
    this.#columns = [];
    for (const [i, head] of expected.entries()) {
      const found = cells[i] ?? '';
      if (isSameText(found, head)) continue;
      this.#add(
        problems,
        line,
        `column head ${quoted(found)}, expected '${head}'. Mend it, or choose the right table.`,
      );
      this.#isUseless = true;
    }
    if (this.#isUseless) return;
    const points = this.#readNumbers(row, [2], null, problems);
    if (!points) this.#isUseless = true;
    else if (!axis && points.length > 0) this.#add(problems, line, 'it has no axis. Remove the other column heads.');
    else if (axis) this.#isUseless = !this.#checkColumns(axis, points, line, problems);
    if (points) this.#columns = points;
  }

  #checkColumns(axis: AxisSpec, points: readonly number[], line: number, problems: ProblemList): boolean {
    const count = axis.breakpoints.length;
    if (points.length !== count) {
      const message = `found ${points.length} break points of ${axis.title}, expected ${count}. Their count is fixed.`;
      this.#add(problems, line, message);
      return false;
    }
    for (const [i, point] of points.entries()) this.#checkFixed(axis, i, point, line, problems);
    this.#checkRising(axis, points, line, problems);
    return true;
  }

  #readValues(row: TextRow, columns: readonly number[], problems: ProblemList): void {
    const { line } = row;
    const [label, pointCell = ''] = row.cells;
    const variant = this.#findVariant(label, line, problems);
    if (variant === null) return;
    const rows = this.#rowsOf(variant, line);
    if (this.#rowAxis) this.#readPoint(row, rows, variant, problems);
    else {
      if (rows.points.length > 0) {
        const message = `it has its values on line ${rows.line} already. Remove one of the two.`;
        this.#add(problems, line, message, variant);
        return;
      }
      rows.points.push(0);
      if (this.#columnAxis && pointCell !== '') {
        const message = `found ${quoted(pointCell)} in the second column, which has no axis. Empty it.`;
        this.#add(problems, line, message, variant);
      }
    }
    const values = this.#readNumbers(row, [this.#columnAxis ? 2 : 1], variant, problems);
    const expected = this.#columnAxis ? columns.length : 1;
    if (values && values.length !== expected) {
      this.#add(problems, line, `found ${values.length} values, expected ${expected}.`, variant);
    } else if (values) rows.values.push(...values);
  }

  #findVariant(label: string, line: number, problems: ProblemList): string | null {
    const variant = variantOfLabel(label);
    if (this.#variants.includes(variant)) return variant;
    const known = this.#variants.map((name) => variantLabel(this.spec, name));
    const isShift = selectorsOf(this.spec)[0] === 'shift';
    const listed = known.length > 12 ? `${known.slice(0, 12).join(', ')} and more` : known.join(', ');
    const cause = isShift && LIKE_A_DATE.test(variant) ? 'A spreadsheet may have taken a shift for a date. ' : '';
    this.#add(problems, line, `variant ${quoted(label)} is unknown; known are ${listed}. ${cause}Mend it.`);
    return null;
  }

  #rowsOf(variant: string, line: number): VariantRows {
    const rows = this.#rows.get(variant) ?? { line, points: [], values: [] };
    this.#rows.set(variant, rows);
    return rows;
  }

  /**
   * The break point that leads a row; the rows of every variant must have the same ones in the same order. One that
   * cannot be read is kept as NaN, or each row after it would be compared with the wrong one.
   */
  #readPoint(row: TextRow, { points }: VariantRows, variant: string, problems: ProblemList): void {
    const axis = this.#rowAxis;
    if (!axis) return;
    const { line } = row;
    const [point] = this.#readNumbers(row, [1, 2], variant, problems) ?? [Number.NaN];
    const index = points.length;
    points.push(point);
    if (index === axis.breakpoints.length) {
      const message = `there are more than ${index} rows, the break points of ${axis.title}. Remove what is too many.`;
      this.#add(problems, line, message, variant);
    }
    if (index >= axis.breakpoints.length || Number.isNaN(point)) return;
    if (this.#checkFixed(axis, index, point, line, problems)) return;
    const [first] = this.#rows.values();
    const expected = first.points[index];
    if (expected === undefined || Number.isNaN(expected) || expected === point) return;
    const message = `break point ${point} of ${axis.title}, but ${expected} for the first variant. Make them equal.`;
    this.#add(problems, line, message, variant);
  }

  /** Whether the axis is fixed; its break points must be the layout's. */
  #checkFixed(axis: AxisSpec, index: number, point: number, line: number, problems: ProblemList): boolean {
    const expected = axis.breakpoints[index];
    if (!axis.editable && point !== expected) {
      const found = `break point ${point} of ${axis.title}, expected ${expected} ${axis.unit}`.trimEnd();
      this.#add(problems, line, `${found}. The layout fixes them; set it back.`);
    }
    return !axis.editable;
  }

  #checkRising(axis: AxisSpec, points: readonly number[], line: number, problems: ProblemList): void {
    const at = axis.editable && points.every(Number.isFinite) ? findAxisFault(points) : -1;
    if (at < 0) return;
    const message = `break point ${points[at]} of ${axis.title} does not rise above ${points[at - 1]}. Put them in order.`;
    this.#add(problems, line, message);
  }

  /** The numbers in the cells [startColumn, endColumn) of a row, or null when one of them is none. */
  #readNumbers(row: TextRow, columns: readonly [number, number?], variant: string | null, problems: ProblemList) {
    const [startColumn, endColumn] = columns;
    const cells = row.cells.slice(startColumn, endColumn);
    const numbers: number[] = [];
    for (const [i, cell] of cells.entries()) {
      const read = this.#numbers.read(cell);
      if (typeof read === 'number') numbers.push(read);
      else this.#add(problems, row.line, `column ${startColumn + i + 1}: ${read}.`, variant);
    }
    return numbers.length === cells.length ? numbers : null;
  }

  #add(problems: ProblemList, line: number, message: string, variant: string | null = null): void {
    const place: Partial<TransferProblem> = { line, tableId: this.spec.id, variant };
    problems.add(`table '${this.spec.id}'${variant === null ? '' : `, ${variant}`}: ${message}`, place);
  }
}

/** Whether a cell says what is expected, apart from the guard against formulas and from how characters are composed. */
function isSameText(found: string, expected: string): boolean {
  return [expected, guardFormula(expected)].some((text) => text.trim().normalize('NFC') === found.normalize('NFC'));
}
