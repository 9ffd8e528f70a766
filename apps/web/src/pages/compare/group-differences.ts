import type { TableDifference } from '@syncline/contract';

/** The cell of a difference that changed most. */
export interface LargestChange {
  /** Position in the row-major arrays. */
  readonly position: number;
  readonly variant: string;
  readonly absolute: number;
  /** Share of the base (%); null where the base is 0. */
  readonly percent: number | null;
}

/** All variants of one table that differ. */
export interface DifferenceGroup {
  readonly tableId: string;
  readonly title: string;
  readonly unit: string;
  /** In the order of the comparison: largest relative change first. */
  readonly differences: readonly TableDifference[];
  readonly changedCells: number;
  readonly cells: number;
  readonly largestAbsolute: LargestChange;
  /** Largest change as a share of the base; null when every changed cell had a base of 0. */
  readonly largestPercent: LargestChange | null;
}

/** Differences by table, in the order in which the comparison first names each. */
export function groupDifferences(differences: readonly TableDifference[]): DifferenceGroup[] {
  const tableIds = [...new Set(differences.map(({ tableId }) => tableId))];
  return tableIds.map((tableId) => {
    const members = differences.filter((difference) => difference.tableId === tableId);
    const { title, unit } = members[0] as TableDifference;
    const changes = members.flatMap(changesOf);
    return {
      tableId,
      title,
      unit,
      differences: members,
      changedCells: members.reduce((sum, { changedCells }) => sum + changedCells, 0),
      cells: changes.length,
      largestAbsolute: largest(changes, ({ absolute }) => absolute),
      largestPercent: largestShare(changes),
    };
  });
}

/** The cell of one variant that changed most, in the unit of the table and as a share of its base. */
export function largestChanges(
  difference: TableDifference,
): Pick<DifferenceGroup, 'largestAbsolute' | 'largestPercent'> {
  const changes = changesOf(difference);
  return { largestAbsolute: largest(changes, ({ absolute }) => absolute), largestPercent: largestShare(changes) };
}

function largestShare(changes: readonly LargestChange[]): LargestChange | null {
  const withShare = changes.filter(({ percent }) => percent !== null);
  return withShare.length === 0 ? null : largest(withShare, ({ percent }) => percent ?? 0);
}

function changesOf({ absolute, percent, variant }: TableDifference): LargestChange[] {
  return absolute.map((change, position) => ({
    position,
    variant,
    absolute: change,
    percent: percent[position] ?? null,
  }));
}

/** The first of those farthest from 0. */
function largest(changes: readonly LargestChange[], size: (change: LargestChange) => number): LargestChange {
  return changes.reduce((found, change) => (Math.abs(size(change)) > Math.abs(size(found)) ? change : found));
}
