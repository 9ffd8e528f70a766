/** How one row of a branching history is drawn. Lanes count from 0 at the left. */
export interface HistoryRow {
  readonly id: string;
  /** Lane of the row's own dot. */
  readonly lane: number;
  /** Lanes that end in the dot, coming from above: the children. */
  readonly fromChildren: readonly number[];
  /** Whether a line leaves the dot downwards, to the parent. */
  readonly hasParent: boolean;
  /** Lane that a second line leaves the dot for, to the other parent of a merge; null without one. */
  readonly toMergeParent: number | null;
  /** Lanes that pass the row without touching the dot. */
  readonly passing: readonly number[];
}

interface Descendant {
  readonly id: string;
  readonly parentId: string | null;
  readonly mergeParentId?: string | null;
}

/**
 * Lanes of a history given newest first, each before its parent. A revision stands in the leftmost lane that leads to
 * it, one that nothing leads to opens the leftmost free lane; so a history without branches is one straight line.
 * A parent that is not in the list ends its line. The second line of a merge joins the lane that leads to its parent
 * already, or opens one.
 */
export function historyRows(newestFirst: readonly Descendant[]): HistoryRow[] {
  const known = new Set(newestFirst.map(({ id }) => id));
  /** What each lane leads to; null where the lane is free. */
  const leadsTo: (string | null)[] = [];
  return newestFirst.map(({ id, parentId, mergeParentId = null }) => {
    const fromChildren = lanesWhere(leadsTo, (target) => target === id);
    const lane = fromChildren[0] ?? freeLane(leadsTo);
    const passing = lanesWhere(leadsTo, (target) => target !== null && target !== id);
    for (const child of fromChildren) leadsTo[child] = null;
    const hasParent = parentId !== null && known.has(parentId);
    leadsTo[lane] = hasParent ? parentId : null;
    const isMerge = mergeParentId !== null && mergeParentId !== parentId && known.has(mergeParentId);
    const toMergeParent = isMerge ? laneTo(leadsTo, mergeParentId) : null;
    if (toMergeParent !== null) leadsTo[toMergeParent] = mergeParentId;
    return { id, lane, fromChildren, hasParent, toMergeParent, passing };
  });
}

/** The lane that leads to a revision, or the leftmost free one. */
function laneTo(leadsTo: readonly (string | null)[], id: string): number {
  const known = leadsTo.indexOf(id);
  return known === -1 ? freeLane(leadsTo) : known;
}

function freeLane(leadsTo: readonly (string | null)[]): number {
  const free = leadsTo.indexOf(null);
  return free === -1 ? leadsTo.length : free;
}

function lanesWhere(leadsTo: readonly (string | null)[], matches: (target: string | null) => boolean): number[] {
  return leadsTo.flatMap((target, lane) => (matches(target) ? [lane] : []));
}

/** Number of lanes that the rows need side by side; at least one. */
export function laneCount(rows: readonly HistoryRow[]): number {
  const used = rows.flatMap(({ lane, passing, fromChildren, toMergeParent }) => [
    lane,
    ...passing,
    ...fromChildren,
    toMergeParent ?? 0,
  ]);
  return Math.max(0, ...used) + 1;
}
