import { CalibrationError } from '../calibration-error.js';

/** A revision in the history of a calibration: made from its parent, and from a second one where lines were merged. */
export interface HistoryNode {
  readonly id: string;
  readonly parentId: string | null;
  readonly mergeParentId?: string | null;
}

/**
 * The nearest common ancestor of two revisions, each counting as its own; undefined where their histories never meet.
 * A common ancestor that another one descends from is not nearest. Where crossed merges leave several, the one
 * with the fewest steps to both is taken, at a tie the one that comes later in `revisions`. Throws `unknownRevision`.
 * O(revisions · common ancestors) at worst, O(revisions) for a plain history.
 */
export function mergeBase(revisions: readonly HistoryNode[], a: string, b: string): string | undefined {
  const nodes = new Map(revisions.map((node) => [node.id, node]));
  for (const id of [a, b]) {
    if (nodes.has(id)) continue;
    throw new CalibrationError('unknownRevision', `The history has no revision '${id}'.`);
  }
  const [fromA, fromB] = [distances(nodes, a), distances(nodes, b)];
  const steps = (id: string) => (fromA.get(id) ?? 0) + (fromB.get(id) ?? 0);
  const nearest = new Set([...fromA.keys()].filter((id) => fromB.has(id)));
  // An ancestor of a common ancestor is common too, so taking them off from the nearest up leaves the nearest only.
  for (const id of [...nearest].sort((x, y) => steps(x) - steps(y))) {
    if (!nearest.has(id)) continue;
    for (const ancestor of distances(nodes, id).keys()) if (ancestor !== id) nearest.delete(ancestor);
  }
  return revisions
    .filter((node) => nearest.has(node.id))
    .reduce<string | undefined>(
      (best, { id }) => (best === undefined || steps(id) <= steps(best) ? id : best),
      undefined,
    );
}

/** Least steps from a revision to each of its ancestors, itself included. */
function distances(nodes: ReadonlyMap<string, HistoryNode>, start: string): Map<string, number> {
  const found = new Map([[start, 0]]);
  for (const [id, steps] of found) {
    const node = nodes.get(id);
    for (const parent of [node?.parentId, node?.mergeParentId]) {
      if (parent && nodes.has(parent) && !found.has(parent)) found.set(parent, steps + 1);
    }
  }
  return found;
}
