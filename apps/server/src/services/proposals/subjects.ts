import type { Layout, RevisionContent } from '@syncline/calibration';
import { type NodeDesign, nodeDesign, tableDesign } from '@syncline/fleet';

/** What a proposal corrects: the pressure that a rule commands, or a table of fill times. */
export type Subject = { readonly id: string; readonly title: string; readonly unit: string } & (
  | { readonly kind: 'rule'; readonly ruleId: string }
  | { readonly kind: 'fill'; readonly tableId: string }
);

/**
 * What a layout has to be corrected: rules that command a pressure as a product of tables, and tables of times (ms) that
 * repeat per clutch, which are fill times by what the layout can tell.
 */
export function subjectsOf(layout: Layout): Subject[] {
  const rules = layout.rules
    .filter(({ kind, unit }) => kind === 'product' && unit === 'kPa')
    .map(({ id, title, unit }): Subject => ({ id: `rule:${id}`, title, unit, kind: 'rule', ruleId: id }));
  const fills = layout.tables
    .filter(({ repeat, unit, byProgram }) => repeat === 'clutch' && unit === 'ms' && !byProgram)
    .map(({ id, title, unit }): Subject => ({ id: `fill:${id}`, title, unit, kind: 'fill', tableId: id }));
  return [...rules, ...fills];
}

export function findSubject(layout: Layout, subjectId: string): Subject | undefined {
  return subjectsOf(layout).find(({ id }) => id === subjectId);
}

/** The nodes of a subject in a revision. */
export function subjectDesign(layout: Layout, content: RevisionContent, subject: Subject): NodeDesign {
  return subject.kind === 'rule'
    ? nodeDesign(layout, content, subject.ruleId)
    : tableDesign(layout, content, subject.tableId);
}

/** Whether node numbers of one mean the same places in the other: evidence can then be carried between them. */
export function isSameGrid(a: NodeDesign, b: NodeDesign): boolean {
  const placesOf = ({ layout, spans }: NodeDesign) =>
    JSON.stringify([layout.version, spans.map(({ spec, variant, axes }) => [spec.id, variant, axes])]);
  return placesOf(a) === placesOf(b);
}
