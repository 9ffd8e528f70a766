import type { MergeConflict } from '@syncline/contract';
import { parseAmount } from '../../format/parse-amount.js';

/** How a conflict is settled: with a side, or with a number that is typed. */
export type Choice = 'ours' | 'theirs' | { readonly text: string };
export type Choices = Readonly<Record<string, Choice>>;

/** Conflicts of one variant of one table, in their order. */
export interface ConflictGroup {
  readonly key: string;
  readonly title: string;
  readonly variant: string | null;
  readonly conflicts: readonly MergeConflict[];
}

export function groupConflicts(conflicts: readonly MergeConflict[]): ConflictGroup[] {
  const groups = new Map<string, MergeConflict[]>();
  for (const conflict of conflicts) {
    const key = `${conflict.tableId} ${conflict.variant ?? ''}`;
    const members = groups.get(key);
    if (members === undefined) groups.set(key, [conflict]);
    else members.push(conflict);
  }
  return [...groups].map(([key, members]) => {
    const { title, variant } = members[0] as MergeConflict;
    return { key, title, variant, conflicts: members };
  });
}

/** The same side for all of some conflicts. */
export function withSide(choices: Choices, conflicts: readonly MergeConflict[], side: 'ours' | 'theirs'): Choices {
  return { ...choices, ...Object.fromEntries(conflicts.map(({ id }) => [id, side])) };
}

/** What the server is told; undefined while a conflict is open or a typed number is none. */
export function settledChoices(
  conflicts: readonly MergeConflict[],
  choices: Choices,
): Record<string, 'ours' | 'theirs' | number> | undefined {
  const settled: Record<string, 'ours' | 'theirs' | number> = {};
  for (const { id } of conflicts) {
    const value = settledChoice(choices[id]);
    if (value === undefined) return undefined;
    settled[id] = value;
  }
  return settled;
}

/** One choice as the server takes it; undefined while it is open. */
export function settledChoice(choice: Choice | undefined): 'ours' | 'theirs' | number | undefined {
  return typeof choice === 'object' ? parseAmount(choice.text) : choice;
}

export function openCount(conflicts: readonly MergeConflict[], choices: Choices): number {
  return conflicts.filter(({ id }) => settledChoice(choices[id]) === undefined).length;
}
