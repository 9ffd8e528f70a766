import { addToCells, type EditedGrid, type Selection, scaleCells, setCells } from '@syncline/calibration';
import { parseAmount } from '../../../format/parse-amount.js';

/** What a typed number does to the selected cells. */
export type EntryKind = 'set' | 'add' | 'take' | 'scale';

/** A number that is being typed, not yet part of the draft. */
export interface Entry {
  readonly kind: EntryKind;
  readonly text: string;
}

/** Values with the entry done to the selected cells; undefined while what is typed is no number. */
export function valuesAfterEntry(grid: EditedGrid, selection: Selection, entry: Entry): number[] | undefined {
  const amount = parseAmount(entry.text);
  if (amount === undefined) return undefined;
  switch (entry.kind) {
    case 'set':
      return setCells(grid, selection, amount);
    case 'add':
      return tidied(addToCells(grid, selection, amount));
    case 'take':
      return tidied(addToCells(grid, selection, -amount));
    case 'scale':
      return tidied(scaleCells(grid, selection, amount));
    default:
      return entry.kind satisfies never;
  }
}

/** Digits that binary fractions can be trusted with: 0.1 + 0.2 is to stay 0.3 in a cell. */
const TRUSTED_DIGITS = 12;

/** Values without the dust of binary fractions, which would otherwise be copied and stored. */
export function tidied(values: readonly number[]): number[] {
  return values.map((value) => (Number.isFinite(value) ? Number(value.toPrecision(TRUSTED_DIGITS)) : value));
}
