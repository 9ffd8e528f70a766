import type { RevisionContentDocument } from '@syncline/contract';
import { sameNumbers, withTable } from './edit-history.js';

type TableContent = RevisionContentDocument['tables'][string];

/** How a table of the draft differs from its parent. */
export interface TableChange {
  readonly tableId: string;
  readonly changedCells: number;
  /** Cells that changed, by variant; variants without a change are left out. */
  readonly byVariant: Readonly<Record<string, number>>;
  readonly hasOtherAxes: boolean;
}

/** The tables that differ from the parent, in the order of their ids; all of them when there is no parent to compare. */
export function tableChanges(
  content: RevisionContentDocument,
  parent: RevisionContentDocument | null,
): Map<string, TableChange> {
  const changes = new Map<string, TableChange>();
  if (parent === null) return changes;
  for (const [tableId, table] of Object.entries(content.tables)) {
    const change = changeOf(tableId, table, parent.tables[tableId]);
    if (change !== undefined) changes.set(tableId, change);
  }
  return changes;
}

function changeOf(tableId: string, table: TableContent, before: TableContent | undefined): TableChange | undefined {
  if (table === before) return undefined;
  const hasOtherAxes = !sameAxes(table, before);
  const byVariant: Record<string, number> = {};
  let changedCells = 0;
  for (const [variant, values] of Object.entries(table.values)) {
    const count = countChanged(values, before?.values[variant]);
    if (count > 0) byVariant[variant] = count;
    changedCells += count;
  }
  return changedCells === 0 && !hasOtherAxes ? undefined : { tableId, changedCells, byVariant, hasOtherAxes };
}

export function sameAxes(table: TableContent, other: TableContent | undefined): boolean {
  return (
    other !== undefined &&
    table.axes.length === other.axes.length &&
    table.axes.every((axis, i) => sameNumbers(axis, other.axes[i] ?? []))
  );
}

function countChanged(values: readonly number[], before: readonly number[] | undefined): number {
  if (values === before) return 0;
  if (before === undefined || before.length !== values.length) return values.length;
  let count = 0;
  for (let i = 0; i < values.length; i++) if (values[i] !== before[i]) count += 1;
  return count;
}

/**
 * The content with the parent's own arrays wherever the values are equal, so that what did not change is known by
 * identity, however large it is.
 */
export function sharingEqualParts(
  content: RevisionContentDocument,
  parent: RevisionContentDocument | null,
): RevisionContentDocument {
  if (parent === null) return content;
  const tables = Object.entries(content.tables).map(([tableId, table]) => {
    const before = parent.tables[tableId];
    if (before === undefined) return [tableId, table] as const;
    const values = Object.fromEntries(
      Object.entries(table.values).map(([variant, own]) => {
        const old = before.values[variant];
        return [variant, old !== undefined && sameNumbers(own, old) ? old : own];
      }),
    );
    const isSame =
      sameAxes(table, before) && Object.entries(values).every(([name, own]) => own === before.values[name]);
    return [tableId, isSame ? before : { ...table, values }] as const;
  });
  return { ...content, tables: Object.fromEntries(tables) };
}

export interface Rebased {
  readonly content: RevisionContentDocument;
  /** Cells that I changed and that now stand on the other content. */
  readonly myCells: number;
  /** Of these, the cells that the other side had changed too, to something else. */
  readonly contestedCells: number;
  /** Tables of mine that could not be carried over, because the other side moved their break points. */
  readonly leftOut: readonly string[];
}

/**
 * My changes since a common state, put on what somebody else saved meanwhile. Where both changed a cell, mine stands.
 * A table whose break points differ is not mixed cell by cell: if only I touched it, it comes over whole; if both did, theirs stays.
 */
export function rebased(
  base: RevisionContentDocument,
  mine: RevisionContentDocument,
  theirs: RevisionContentDocument,
): Rebased {
  let content = theirs;
  let myCells = 0;
  let contestedCells = 0;
  const leftOut: string[] = [];
  for (const [tableId, { changedCells }] of tableChanges(mine, base)) {
    const [was, own, other] = [base.tables[tableId], mine.tables[tableId], theirs.tables[tableId]];
    if (was === undefined || own === undefined || other === undefined) continue;
    if (changeOf(tableId, other, was) === undefined) {
      content = withTable(content, tableId, own);
      myCells += changedCells;
      continue;
    }
    if (!sameAxes(own, was) || !sameAxes(other, was)) {
      leftOut.push(tableId);
      continue;
    }
    const values = Object.fromEntries(
      Object.entries(other.values).map(([variant, cells]) => [
        variant,
        cells.map((cell, i) => {
          const [old, my] = [was.values[variant]?.[i], own.values[variant]?.[i]];
          if (my === undefined || my === old) return cell;
          myCells += 1;
          if (cell !== old && cell !== my) contestedCells += 1;
          return my;
        }),
      ]),
    );
    content = withTable(content, tableId, { ...other, values });
  }
  return { content, myCells, contestedCells, leftOut };
}
