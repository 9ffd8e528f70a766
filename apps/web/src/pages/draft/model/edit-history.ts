import type { RevisionContentDocument } from '@syncline/contract';
import type { GridSelection } from './grid-selection.js';

/** Where an edit was made, so that undoing it can show it. */
export interface EditPlace {
  readonly tableId: string;
  readonly variant: string;
  readonly selection: GridSelection;
}

/** One edit: the content that it leads away from, in words, and where it was made; null for one of many tables. */
interface EditStep {
  readonly content: RevisionContentDocument;
  readonly words: string;
  readonly place: EditPlace | null;
}

/** The content of a draft with what undo and redo lead to, each the nearest last. */
export interface EditHistory {
  readonly content: RevisionContentDocument;
  readonly past: readonly EditStep[];
  readonly future: readonly EditStep[];
}

/** Edits that are remembered. Contents share all tables that an edit left alone, so each costs one variant. */
const MAX_STEPS = 300;

export function beginHistory(content: RevisionContentDocument): EditHistory {
  return { content, past: [], future: [] };
}

/** The history after an edit; what had been undone is gone. The same content is no edit. */
export function withEdit(
  history: EditHistory,
  content: RevisionContentDocument,
  { words, place }: Pick<EditStep, 'words' | 'place'>,
): EditHistory {
  if (content === history.content) return history;
  const step = { content: history.content, words, place };
  return { content, past: [...history.past, step].slice(-MAX_STEPS), future: [] };
}

/** The history one edit back; the same one when there is none. */
export function undone(history: EditHistory): EditHistory {
  const step = history.past.at(-1);
  if (step === undefined) return history;
  return {
    content: step.content,
    past: history.past.slice(0, -1),
    future: [...history.future, { ...step, content: history.content }],
  };
}

/** The history one undone edit forward; the same one when there is none. */
export function redone(history: EditHistory): EditHistory {
  const step = history.future.at(-1);
  if (step === undefined) return history;
  return {
    content: step.content,
    past: [...history.past, { ...step, content: history.content }],
    future: history.future.slice(0, -1),
  };
}

/** The content with other values in one variant of a table; all else is shared. Equal values give the same content. */
export function withValues(
  content: RevisionContentDocument,
  { tableId, variant }: Pick<EditPlace, 'tableId' | 'variant'>,
  values: readonly number[],
): RevisionContentDocument {
  const table = content.tables[tableId];
  const old = table?.values[variant];
  if (table === undefined || old === undefined || sameNumbers(old, values)) return content;
  return withTable(content, tableId, { ...table, values: { ...table.values, [variant]: [...values] } });
}

/** The content with another table in place of one. */
export function withTable(
  content: RevisionContentDocument,
  tableId: string,
  table: RevisionContentDocument['tables'][string],
): RevisionContentDocument {
  return { ...content, tables: { ...content.tables, [tableId]: table } };
}

export function sameNumbers(one: readonly number[], other: readonly number[]): boolean {
  return one === other || (one.length === other.length && one.every((value, i) => Object.is(value, other[i])));
}
