import type { RevisionContent } from '@syncline/calibration';

/** Values and break points that differ between two contents of one shape. */
export function countChangedCells(before: RevisionContent, after: RevisionContent): number {
  return Object.entries(after.tables).reduce((count, [id, { axes, values }]) => {
    const table = before.tables[id];
    if (!table) return count;
    const moved = axes.map((axis, i) => countChanged(table.axes[i], axis));
    const changed = Object.entries(values).map(([variant, cells]) => countChanged(table.values[variant], cells));
    return [...moved, ...changed].reduce((sum, part) => sum + part, count);
  }, 0);
}

function countChanged(before: readonly number[] = [], after: readonly number[]): number {
  return after.reduce((count, value, i) => (value === before[i] ? count : count + 1), 0);
}
