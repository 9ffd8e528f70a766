import type { TableChange } from '@syncline/contract';

/** The cell that changed most of all variants of a table. */
export type LargestChange = TableChange['largestAbsolute'] & { readonly variant: string };

/** All variants of one table that differ. */
export interface DifferenceGroup {
  readonly tableId: string;
  readonly title: string;
  readonly unit: string;
  /** In the order of the comparison: largest relative change first. */
  readonly differences: readonly TableChange[];
  readonly changedCells: number;
  readonly cells: number;
  readonly largestAbsolute: LargestChange;
  /** Largest change as a share of the base; null when every changed cell had a base of 0. */
  readonly largestPercent: LargestChange | null;
}

/** Differences by table, in the order in which the comparison first names each. */
export function groupDifferences(differences: readonly TableChange[]): DifferenceGroup[] {
  const byTable = new Map<string, [TableChange, ...TableChange[]]>();
  for (const difference of differences) {
    const members = byTable.get(difference.tableId);
    if (members) members.push(difference);
    else byTable.set(difference.tableId, [difference]);
  }
  return [...byTable.values()].map((members) => groupOf(members));
}

function groupOf(members: readonly [TableChange, ...TableChange[]]): DifferenceGroup {
  const [{ tableId, title, unit }] = members;
  const sum = (sizeOf: (member: TableChange) => number) => members.reduce((total, member) => total + sizeOf(member), 0);
  const shares = members.flatMap(({ variant, largestPercent }) =>
    largestPercent ? [{ variant, ...largestPercent }] : [],
  );
  return {
    tableId,
    title,
    unit,
    differences: members,
    changedCells: sum(({ changedCells }) => changedCells),
    cells: sum(({ cells }) => cells),
    largestAbsolute: members
      .map(({ variant, largestAbsolute }): LargestChange => ({ variant, ...largestAbsolute }))
      .reduce((found, change) => (Math.abs(change.absolute) > Math.abs(found.absolute) ? change : found)),
    largestPercent: shares.reduce<LargestChange | null>(
      (found, change) =>
        found === null || Math.abs(change.percent ?? 0) > Math.abs(found.percent ?? 0) ? change : found,
      null,
    ),
  };
}
