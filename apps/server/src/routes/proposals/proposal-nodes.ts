import type { Layout, RevisionContent } from '@syncline/calibration';
import type { ExportedNode, NodeReason, ProposalNodesResponse, ProposalSubject } from '@syncline/contract';
import type { NodeProposal } from '@syncline/fleet';
import type { ProposalDetail, ProposalResult } from '@syncline/store';
import { csvLine } from '../csv.js';
import { toInstantOrNull } from '../format.js';

/** A proposal that is made, with the revision whose nodes it is about. */
export interface ExportedProposal {
  readonly proposal: ProposalDetail & { readonly result: ProposalResult };
  readonly subject: ProposalSubject;
  readonly layout: Layout;
  readonly content: RevisionContent;
}

/** 95 % of a normal law. */
const SDS = 1.96;

const REASON_TEXTS: Readonly<Record<NodeReason, string>> = {
  notPositive: 'value not above 0',
  tooFewShifts: 'too few shifts',
  tooFewVehicles: 'too few vehicles',
  tooUncertain: 'too uncertain',
  withinUncertainty: 'correction within its own uncertainty',
  stepLimit: 'largest step of a revision',
  layoutLimit: 'limit of the layout',
  flaring: 'not lowered while it flares',
  course: 'required course along an axis',
  slope: 'steepest slope that is allowed',
  carried: 'along with a neighbour',
  storageStep: 'rounded to what can be stored',
};

const VERDICT_TEXTS: Readonly<Record<ExportedNode['verdict'], string>> = {
  inFull: 'in full',
  limited: 'limited',
  leftAlone: 'left alone',
};

/** Every node with all that the proposal says of it, as JSON. */
export function toProposalNodes(exported: ExportedProposal): ProposalNodesResponse {
  const { proposal, subject } = exported;
  const { inputs, result } = proposal;
  return {
    kind: 'syncline.proposal',
    proposalId: proposal.id,
    calibrationTitle: proposal.calibrationTitle,
    baseRevisionId: proposal.base.id,
    baseRevisionNumber: proposal.base.number,
    baseContentHash: inputs.baseContentHash,
    subject,
    policy: { useSameCommand: false, ...inputs.policy },
    estimatorVersion: inputs.estimatorVersion,
    madeAt: toInstantOrNull(proposal.madeAtMs),
    inputHash: proposal.inputHash,
    resultHash: proposal.resultHash,
    shifts: result.shifts,
    vehicles: result.vehicles.length,
    nodes: result.nodes.map((node) => toExportedNode(node, exported)),
  };
}

function toExportedNode(node: NodeProposal, { layout, content }: ExportedProposal): ExportedNode {
  const { presentValue, proposedValue, correctionLn, sdLn, reasons, ...rest } = node;
  const spec = layout.tables.find(({ id }) => id === node.tableId);
  const percent = (ln: number) => 100 * Math.expm1(ln);
  return {
    ...rest,
    tableTitle: spec?.title ?? node.tableId,
    at: placeOf(node.nodeIndex, content.tables[node.tableId]?.axes ?? []).map((value, axis) => {
      const { quantity = '', title = '', unit = '' } = spec?.axes[axis] ?? {};
      return { quantity, title, unit, value };
    }),
    unit: spec?.unit ?? '',
    presentValue,
    proposedValue,
    changePercent: presentValue === 0 ? null : 100 * (proposedValue / presentValue - 1),
    verdict: node.change === 'leave' ? 'leftAlone' : reasons.length === 0 ? 'inFull' : 'limited',
    correctionPercent: percent(correctionLn),
    sdPercent: sdLn === null ? null : 100 * sdLn,
    lowPercent: sdLn === null ? null : percent(correctionLn - SDS * sdLn),
    highPercent: sdLn === null ? null : percent(correctionLn + SDS * sdLn),
    reasons: [...reasons],
  };
}

/** Break points of a node in row-major order. */
function placeOf(nodeIndex: number, axes: readonly (readonly number[])[]): number[] {
  let rest = nodeIndex;
  const place: number[] = [];
  for (const breakpoints of [...axes].reverse()) {
    place.unshift(breakpoints[rest % breakpoints.length]);
    rest = Math.floor(rest / breakpoints.length);
  }
  return place;
}

const MOST_AXES = 2;

/** The same as CSV: a line for each node, with the break points of each axis and what they are of. */
export function proposalNodesCsv(exported: ExportedProposal): string {
  const axes = Array.from({ length: MOST_AXES }, (_, i) => i);
  const head = [
    'Table',
    'Variant',
    'Node',
    ...axes.flatMap((axis) => [`Axis ${axis + 1}`, `At (axis ${axis + 1})`]),
    'Unit',
    'Present value',
    'Proposed value',
    'Change (%)',
    'Correction (%)',
    'Standard deviation (%)',
    'Low (%)',
    'High (%)',
    'Shifts (effective)',
    'Vehicles (effective)',
    'Flare rate (share)',
    'Verdict',
    'Reasons',
  ];
  const lines = exported.proposal.result.nodes.map((own) => {
    const node = toExportedNode(own, exported);
    return csvLine([
      node.tableTitle,
      node.variant,
      node.nodeIndex,
      ...axes.flatMap((axis) => {
        const at = node.at[axis];
        return at ? [`${at.title} (${at.unit})`, at.value] : [null, null];
      }),
      node.unit,
      node.presentValue,
      node.proposedValue,
      node.changePercent,
      node.correctionPercent,
      node.sdPercent,
      node.lowPercent,
      node.highPercent,
      node.shifts,
      node.vehicles,
      node.flareRate,
      `${node.change === 'leave' ? '' : `${node.change} `}${VERDICT_TEXTS[node.verdict]}`,
      node.reasons.map((reason) => REASON_TEXTS[reason]).join('; '),
    ]);
  });
  return [csvLine(head), ...lines].join('');
}
