import type { RevisionContent, TableContent } from '@syncline/calibration';
import type { NodeProposal } from './propose-corrections.js';

/**
 * A draft: the content with the accepted changes. All of a table variant's changes together keep the layout's course
 * and slope; a part of them may not, so a draft is checked like any other.
 */
export function applyProposal(
  content: RevisionContent,
  proposal: readonly NodeProposal[],
  isAccepted: (node: NodeProposal) => boolean = () => true,
): RevisionContent {
  const tables: Record<string, TableContent> = { ...content.tables };
  for (const node of proposal) {
    if (node.change === 'leave' || !isAccepted(node)) continue;
    const table = tables[node.tableId];
    const values = [...table.values[node.variant]];
    values[node.nodeIndex] = node.proposedValue;
    tables[node.tableId] = { ...table, values: { ...table.values, [node.variant]: values } };
  }
  return { ...content, tables };
}
