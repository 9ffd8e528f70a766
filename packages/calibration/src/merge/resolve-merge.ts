import { CalibrationError } from '../calibration-error.js';
import type { RevisionContent } from '../document/content.js';
import { getTableContent } from '../tables/find-table.js';
import type { CellConflict, ContentMerge, MergeConflict } from './merge-contents.js';

/** How a conflict is settled: by one of its sides, or, for a cell, by a value of its own. */
export type MergeChoice = 'ours' | 'theirs' | number;

/**
 * The merged content with every conflict settled. Throws `mergeUnresolved` where a conflict has no choice, `mergeChoice`
 * for a choice that names no conflict or gives a table a number. The result is not checked against limits; `checkContent`
 * does that.
 * @param choices by the `id` of the conflict
 */
export function resolveMerge(merge: ContentMerge, choices: Readonly<Record<string, MergeChoice>>): RevisionContent {
  assertChoices(merge, choices);
  const tables = { ...merge.content.tables };
  const cells = new Map<string, CellConflict[]>();
  for (const conflict of merge.conflicts) {
    const choice = choices[conflict.id];
    if (conflict.kind === 'cell') {
      const place = `${conflict.tableId}/${conflict.variant}`;
      const sameVariant = cells.get(place);
      if (sameVariant) sameVariant.push(conflict);
      else cells.set(place, [conflict]);
    } else if (choice === 'ours' || choice === 'theirs') tables[conflict.tableId] = conflict[choice];
  }
  for (const conflicts of cells.values()) {
    const [{ tableId, variant }] = conflicts;
    const table = getTableContent({ ...merge.content, tables }, tableId);
    const values = [...table.values[variant]];
    for (const conflict of conflicts) values[conflict.cellIndex] = chosenValue(conflict, choices[conflict.id]);
    tables[tableId] = { ...table, values: { ...table.values, [variant]: values } };
  }
  return { ...merge.content, tables };
}

function chosenValue(conflict: CellConflict, choice: MergeChoice): number {
  return typeof choice === 'number' ? choice : conflict[choice];
}

function assertChoices(merge: ContentMerge, choices: Readonly<Record<string, MergeChoice>>): void {
  const conflicts = new Map(merge.conflicts.map((conflict) => [conflict.id, conflict]));
  for (const [id, choice] of Object.entries(choices)) {
    const conflict = conflicts.get(id);
    if (!conflict) throw wrongChoice(`'${id}' is no conflict of this merge. Reload the merge and choose again.`);
    assertChoice(conflict, choice);
  }
  const open = merge.conflicts.filter((conflict) => !Object.hasOwn(choices, conflict.id));
  if (open.length === 0) return;
  throw new CalibrationError(
    'mergeUnresolved',
    `${open.length} of ${merge.conflicts.length} conflicts have no choice, the first is '${open[0].id}'. ` +
      "Choose 'ours', 'theirs' or a value for each.",
  );
}

function assertChoice(conflict: MergeConflict, choice: MergeChoice): void {
  if (choice === 'ours' || choice === 'theirs') return;
  if (conflict.kind === 'cell' && Number.isFinite(choice)) return;
  const allowed =
    conflict.kind === 'cell' ? "'ours', 'theirs' or a finite number" : "'ours' or 'theirs' for the whole table";
  throw wrongChoice(`For '${conflict.id}' found ${choice}, expected ${allowed}.`);
}

function wrongChoice(message: string): CalibrationError {
  return new CalibrationError('mergeChoice', message);
}
