import type { NodeProposal } from '@syncline/contract';

/** What names a node. */
export function nodeKey({
  tableId,
  variant,
  nodeIndex,
}: Pick<NodeProposal, 'tableId' | 'variant' | 'nodeIndex'>): string {
  return `${tableId}/${variant}/${nodeIndex}`;
}

/** Nodes that would change. */
export function changingNodes(nodes: readonly NodeProposal[]): NodeProposal[] {
  return nodes.filter(({ change }) => change !== 'leave');
}

/** Which of the changes are to go into a draft: all, but for those that a person left out. */
export interface NodeChoice {
  readonly leftOut: ReadonlySet<string>;
  readonly isTaken: (node: NodeProposal) => boolean;
  /** Takes or leaves out all of these. */
  readonly set: (nodes: readonly NodeProposal[], isTaken: boolean) => void;
}
