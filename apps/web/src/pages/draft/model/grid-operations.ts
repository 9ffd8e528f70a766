import {
  type EditedGrid,
  interpolateCells,
  roundCells,
  type Selection,
  smoothCells,
  type TableSpec,
} from '@syncline/calibration';
import { type EntryKind, tidied } from './entry.js';

/** An operation that asks for a number, by the key that begins it. */
export interface EntryOperation {
  readonly kind: EntryKind;
  readonly key: string;
  /** Stands before the number while it is typed. */
  readonly sign: string;
  readonly word: string;
  readonly explanation: string;
}

export const ENTRY_OPERATIONS: readonly EntryOperation[] = [
  { kind: 'set', key: '=', sign: '=', word: 'Set', explanation: 'set to a number (digits begin this too)' },
  { kind: 'add', key: '+', sign: '+', word: 'Add', explanation: 'add an amount' },
  { kind: 'take', key: '-', sign: '−', word: 'Take away', explanation: 'take an amount away' },
  { kind: 'scale', key: '*', sign: '± %', word: 'Scale', explanation: 'change by a percentage, for example 5 or -5' },
];

export type ShapeKind = 'rows' | 'columns' | 'both' | 'smooth' | 'nearest' | 'parent';

/** An operation that needs no number. */
export interface ShapeOperation {
  readonly kind: ShapeKind;
  readonly key: string;
  readonly word: string;
  readonly explanation: string;
}

export const SHAPE_OPERATIONS: readonly ShapeOperation[] = [
  {
    kind: 'rows',
    key: 'r',
    word: 'Rows',
    explanation: 'straight line along each row, between its first and last cell',
  },
  { kind: 'columns', key: 'c', word: 'Columns', explanation: 'straight line along each column, between its ends' },
  { kind: 'both', key: 'b', word: 'Both', explanation: 'between the four corners of the selection' },
  {
    kind: 'smooth',
    key: 's',
    word: 'Smooth',
    explanation: 'one pass towards a straight line; the corners of the selection hold',
  },
  { kind: 'nearest', key: 'n', word: 'Nearest step', explanation: 'round to what the storage can hold' },
  { kind: 'parent', key: 'p', word: 'Parent', explanation: 'back to the value of the parent' },
];

interface ShapeContext {
  readonly grid: EditedGrid;
  readonly selection: Selection;
  readonly spec: Pick<TableSpec, 'storage' | 'defaultValue'>;
  /** Values of the parent on the axes of the grid; null for a draft without parent, whose cells go back to the default. */
  readonly parentValues: readonly number[] | null;
}

/** Values of the grid after a shape operation on the selected cells. */
export function valuesAfterShape(kind: ShapeKind, { grid, selection, spec, parentValues }: ShapeContext): number[] {
  switch (kind) {
    case 'rows':
      return tidied(interpolateCells(grid, selection, 'alongRows'));
    case 'columns':
      return tidied(interpolateCells(grid, selection, 'alongColumns'));
    case 'both':
      return tidied(interpolateCells(grid, selection, 'both'));
    case 'smooth':
      return tidied(smoothCells(grid, selection));
    case 'nearest':
      return tidied(roundCells(grid, selection, spec.storage));
    case 'parent':
      return valuesOfParent(grid, selection, parentValues, spec.defaultValue);
    default:
      return kind satisfies never;
  }
}

function valuesOfParent(
  grid: EditedGrid,
  { startRow, endRow, startColumn, endColumn }: Selection,
  parentValues: readonly number[] | null,
  defaultValue: number,
): number[] {
  const values = [...grid.values];
  const columns = grid.axes.at(-1)?.length ?? 1;
  for (let row = startRow; row < endRow; row++) {
    for (let column = startColumn; column < endColumn; column++) {
      const at = row * columns + column;
      values[at] = parentValues?.[at] ?? defaultValue;
    }
  }
  return values;
}

/** Why an operation changed nothing, in words that say what to select. */
export function whyUnchanged(kind: ShapeKind): string {
  switch (kind) {
    case 'rows':
      return 'Nothing changed: select at least three cells of a row; the first and the last stay.';
    case 'columns':
      return 'Nothing changed: select at least three cells of a column; the first and the last stay.';
    case 'both':
      return 'Nothing changed: select a rectangle that is more than its four corners.';
    case 'smooth':
      return 'Nothing changed: select at least three cells in a row or column that are not on a straight line.';
    case 'nearest':
      return 'Nothing changed: every selected cell is on a step of the storage.';
    case 'parent':
      return 'Nothing changed: the selected cells have the value of the parent.';
    default:
      return kind satisfies never;
  }
}
