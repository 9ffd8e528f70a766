import { applyProposal, type NodeDesign } from '@syncline/fleet';
import { openReadOnly, type ProposalResult } from '@syncline/store';
import { stepBack } from '../step-back.js';
import { type BenchFit, benchPreview } from './bench-preview.js';
import { openBase } from './estimate-fleet.js';
import type { PreviewOutcome, PreviewTask } from './preview-task.js';

/** Tries a proposal on simulated cars that are fitted to what it says of the fleet. Entry point of the worker threads. */
export async function previewProposal({ folder, proposalId }: PreviewTask): Promise<PreviewOutcome> {
  stepBack();
  const store = openReadOnly({ folder, clock: Date.now });
  try {
    const proposal = store.read.proposals.find(proposalId);
    if (!proposal?.result) throw new Error(`there is no proposal ${proposalId}`);
    const { inputs, result, calibrationId } = proposal;
    const base = openBase(store, store.read.calibrations.find(calibrationId)?.platformId ?? '', inputs);
    const { layout, content } = base.design;
    const candidate = { layout, content: applyProposal(content, result.nodes) };
    return benchPreview(store, inputs, base, fitOf(base.design, result), candidate);
  } finally {
    store.close();
  }
}

function fitOf({ spans, nodeCount }: NodeDesign, { nodes, vehicles, components }: ProposalResult): BenchFit {
  const correctionLn = new Float64Array(nodeCount);
  const starts = new Map(spans.map(({ spec, variant, start }) => [`${spec.id}/${variant}`, start]));
  for (const node of nodes) {
    correctionLn[(starts.get(`${node.tableId}/${node.variant}`) ?? 0) + node.nodeIndex] = node.correctionLn;
  }
  return { correctionLn, trims: vehicles.map(({ trim }) => trim), residualSd: components.residualSd };
}
