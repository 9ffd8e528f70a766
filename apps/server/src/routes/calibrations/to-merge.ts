import type { AxisConflict, CellConflict, Layout } from '@syncline/calibration';
import type * as Contract from '@syncline/contract';
import type { PlannedMerge } from '../../services/merges.js';
import { toRevisionSummary } from './to-revision.js';

export function toMergeResponse({ ours, theirs, base, layout, merge }: PlannedMerge): Contract.MergeResponse {
  return {
    ours: toRevisionSummary(ours),
    theirs: toRevisionSummary(theirs),
    base: toRevisionSummary(base),
    takenFromOurs: merge.taken.ours,
    takenFromTheirs: merge.taken.theirs,
    conflicts: merge.conflicts.map((conflict) =>
      conflict.kind === 'cell'
        ? toCellConflict(layout, conflict, merge.content.tables[conflict.tableId].axes)
        : toAxisConflict(layout, conflict),
    ),
  };
}

function toCellConflict(
  layout: Layout,
  { id, tableId, variant, cell, base, ours, theirs }: CellConflict,
  axes: readonly (readonly number[])[],
): Contract.MergeConflict {
  const spec = getTable(layout, tableId);
  const steps = axes.length === 2 ? [cell.row, cell.column] : [cell.column];
  const place = spec.axes.map((axis, i) => `${axis.title} ${axes[i][steps[i]]} ${axis.unit}`.trimEnd()).join(', ');
  const { title, unit } = spec;
  return { id, tableId, title, unit, variant, cell: { ...cell }, place: place || 'the value', base, ours, theirs };
}

/** The numbers of a whole table are not told one by one; its sides are compared on a page of their own. */
function toAxisConflict(layout: Layout, { id, tableId }: AxisConflict): Contract.MergeConflict {
  const { title, unit } = getTable(layout, tableId);
  const place = 'the whole table: its break points were moved';
  return { id, tableId, title, unit, variant: null, cell: null, place, base: null, ours: null, theirs: null };
}

function getTable({ tables }: Layout, tableId: string) {
  const spec = tables.find((table) => table.id === tableId);
  if (!spec) throw new Error(`a conflict in table '${tableId}', which the layout does not have`);
  return spec;
}
