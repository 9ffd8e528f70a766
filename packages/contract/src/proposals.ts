import { z } from 'zod';
import { lineName } from './calibrations.js';
import { hash, id, instant, longText, shortText } from './common.js';

/** What may hold a node back, in the order in which it is asked. */
export const NODE_REASONS = [
  'notPositive',
  'tooFewShifts',
  'tooFewVehicles',
  'tooUncertain',
  'withinUncertainty',
  'stepLimit',
  'layoutLimit',
  'flaring',
  'course',
  'slope',
  'carried',
  'storageStep',
] as const;
export type NodeReason = (typeof NODE_REASONS)[number];

/** What a proposal may do. Bounds keep it a proposal: no policy lets it leap or speak from next to nothing. */
export const proposalPolicy = z.object({
  minShifts: z.number().min(1).max(1000).describe('least effective number of shifts behind a node that may move'),
  minVehicles: z.number().min(1).max(100).describe('least effective number of vehicles'),
  maxSdLn: z.number().min(0.005).max(0.5).describe('highest posterior standard deviation, ln'),
  leastSignal: z.number().min(0).max(5).describe('least correction in its own standard deviations'),
  maxStep: z.number().min(0.005).max(0.2).describe('largest change of a node, as part of its value'),
  maxFlareRate: z.number().min(0).max(0.5).describe('a node over which more shifts flare is never lowered'),
  carriesThin: z
    .boolean()
    .describe('whether a node with thin evidence may go along where course or slope would hold a neighbour back'),
  useEarlierRevisions: z
    .boolean()
    .describe('whether all shifts under earlier revisions count too, carried to the one to be changed'),
  useSameCommand: z
    .boolean()
    .default(false)
    .describe(
      'whether shifts under earlier revisions count at which these commanded the same as the one to be changed',
    ),
});
export type ProposalPolicy = z.infer<typeof proposalPolicy>;

/** What is corrected: the pressure that a rule commands, or a table of fill times. */
export const proposalSubject = z.object({
  id: z.string().describe('`rule:` or `fill:` and the id of the rule or table'),
  title: z.string(),
  unit: z.string(),
});
export type ProposalSubject = z.infer<typeof proposalSubject>;

export const createProposalRequest = z.object({
  baseRevisionId: id,
  subject: z.string().max(80).optional().describe('the first of the layout when absent'),
  policy: proposalPolicy.partial().optional().describe('what is left out is as usual'),
});

export const proposalDecision = z.object({
  decision: z.enum(['drafted', 'rejected']),
  draftId: id.nullable(),
  draftTitle: z.string().nullable(),
  draftState: z.enum(['open', 'made', 'discarded']).nullable(),
  revisionId: id.nullable().describe('made of the draft'),
  takenNodes: z.number().int(),
  reason: z.string(),
  byName: z.string(),
  decidedAt: instant,
});
export type ProposalDecision = z.infer<typeof proposalDecision>;

export const proposalSummary = z.object({
  id,
  calibrationId: id,
  calibrationTitle: z.string(),
  baseRevisionId: id,
  baseRevisionNumber: z.number().int(),
  subject: proposalSubject,
  state: z.enum(['waiting', 'ready', 'failed']),
  problem: z.string().nullable().describe('why nothing could be proposed'),
  isByItself: z.boolean().describe('made by the server because there was new evidence'),
  requestedAt: instant,
  requestedByName: z.string(),
  madeAt: instant.nullable(),
  tally: z
    .object({
      raised: z.number().int(),
      lowered: z.number().int(),
      left: z.number().int(),
      shifts: z.number().int(),
      vehicles: z.number().int(),
      oddVehicles: z.number().int(),
    })
    .nullable(),
  inputHash: hash,
  resultHash: hash.nullable(),
  decisions: z.array(proposalDecision),
});
export type ProposalSummary = z.infer<typeof proposalSummary>;

export const proposalsResponse = z.object({
  items: z.array(proposalSummary),
  /** By base revision: what may be asked for. */
  subjects: z.array(z.object({ revisionId: id, subjects: z.array(proposalSubject) })),
  defaultPolicy: proposalPolicy,
});
export type ProposalsResponse = z.infer<typeof proposalsResponse>;

export const nodeProposal = z.object({
  tableId: z.string(),
  variant: z.string(),
  nodeIndex: z.number().int().describe('in the row-major values of the variant'),
  presentValue: z.number(),
  proposedValue: z.number(),
  change: z.enum(['raise', 'lower', 'leave']),
  correctionLn: z.number().describe('ln of wanted over present value'),
  sdLn: z.number().nullable().describe('posterior standard deviation; null where nobody drove'),
  shifts: z.number().describe('effective number'),
  vehicles: z.number().describe('effective number'),
  flareRate: z.number().nullable(),
  reasons: z.array(z.enum(NODE_REASONS)),
});
export type NodeProposal = z.infer<typeof nodeProposal>;

/** A rate as counted and as a model expects it; `low` and `high` are of `after`. */
export const expectedRate = z.object({
  grade: z.enum(['flare', 'tieUp', 'harsh']),
  before: z.number(),
  after: z.number(),
  low: z.number(),
  high: z.number(),
});
export type ExpectedRate = z.infer<typeof expectedRate>;

const trim = { trimLn: z.number(), sdLn: z.number(), surprise: z.number() };
/** A trim in ln torque; `pressureLn` is what it means in pressure at the points driven. */
export const kindTrim = z.object({
  shiftKind: z.string(),
  ...trim,
  shifts: z.number(),
  pressureLn: z.number().nullable(),
  pressureSdLn: z.number().nullable(),
});
export type KindTrim = z.infer<typeof kindTrim>;
export const oddity = z.discriminatedUnion('what', [
  z.object({ what: z.literal('trim'), trimLn: z.number(), sdLn: z.number() }),
  z.object({ what: z.literal('kindTrim'), shiftKind: z.string(), trimLn: z.number(), sdLn: z.number() }),
  z.object({ what: z.literal('responseScale'), scale: z.number(), standardError: z.number() }),
]);
export type Oddity = z.infer<typeof oddity>;
export const vehicleTrim = z.object({
  ...trim,
  shifts: z.number(),
  farShifts: z
    .number()
    .int()
    .nullable()
    .describe(
      'that count less because they are far from what all the rest says; null in proposals of earlier programs',
    ),
  byKind: z.array(kindTrim),
  odd: z.array(oddity),
});
export type VehicleTrim = z.infer<typeof vehicleTrim>;

export const components = z.object({
  residualSd: z.number(),
  vehicleSd: z.number(),
  vehicleShiftSd: z.number(),
});

/** Rates of the sampled shifts on simulated cars, with the revision as it is and with what is tried. */
export const previewRate = z.object({
  shifts: z.number().int(),
  flareBefore: z.number().int(),
  flareAfter: z.number().int(),
  tieUpBefore: z.number().int(),
  tieUpAfter: z.number().int(),
  harshBefore: z.number().int(),
  harshAfter: z.number().int(),
  slowBefore: z.number().int(),
  slowAfter: z.number().int(),
});
export const proposalPreview = z.object({
  kind: z.literal('preview'),
  cars: z.number().int(),
  total: previewRate,
  byKind: z.array(previewRate.extend({ shiftKind: z.string() })),
  changed: z
    .number()
    .int()
    .nullable()
    .default(null)
    .describe('tried shifts at whose points the pressure is another one; null in previews of earlier programs'),
  /** Shifts of the sample that the simulator could not make. */
  leftOut: z.number().int(),
});
export const previewState = z.discriminatedUnion('kind', [
  proposalPreview.extend({ madeAt: instant }),
  z.object({ kind: z.literal('impossible'), reason: z.string(), madeAt: instant }),
  z.object({ kind: z.literal('running') }),
  z.object({ kind: z.literal('none') }),
]);
export type PreviewState = z.infer<typeof previewState>;

export const draftPreviewResponse = z.object({
  base: z
    .object({ revisionId: id, number: z.number().int() })
    .nullable()
    .describe('the nearest revision that the draft comes from and that was driven; null where there is none'),
  contentHash: hash
    .nullable()
    .describe('of the content that was tried: another one than the draft’s means that the preview is out of date'),
  preview: previewState,
});
export type DraftPreviewResponse = z.infer<typeof draftPreviewResponse>;

export const proposalResponse = proposalSummary.extend({
  platformId: id,
  layoutVersion: z.number().int(),
  baseContentHash: hash,
  policy: proposalPolicy,
  estimatorVersion: z.number().int(),
  analysisVersion: z.number().int(),
  gradingPolicyVersion: z.number().int(),
  evidence: z.array(
    z.object({
      vehicleId: id,
      vehicleTitle: z.string(),
      revisionId: id,
      revisionNumber: z.number().int().nullable(),
      version: z.number().int(),
      shifts: z.number().int().nullable(),
      counted: z
        .number()
        .int()
        .nullable()
        .describe('of them, those that told anything and were used; null in proposals of earlier programs'),
      momentsHash: hash.nullable(),
    }),
  ),
  result: z
    .object({
      nodes: z.array(nodeProposal),
      expectedRates: z.array(expectedRate),
      components,
      response: z
        .object({ slope: z.number(), standardError: z.number() })
        .describe('how far responses followed the change before; corrections are divided by it'),
      isConverged: z.boolean(),
      shifts: z.number(),
      shiftVersions: z.array(z.string()),
      vehicles: z.array(vehicleTrim.extend({ vehicleId: id, vehicleTitle: z.string() })),
    })
    .nullable(),
  preview: previewState,
});
export type ProposalResponse = z.infer<typeof proposalResponse>;

/** Whether a node gets the whole correction, a part of it, or none. */
export const NODE_VERDICTS = ['inFull', 'limited', 'leftAlone'] as const;

/** A node with all that the proposal says of it. Percentages are of the present value. */
export const exportedNode = z.object({
  tableId: z.string(),
  tableTitle: z.string(),
  variant: z.string().describe('such as `3-4` or `3-4/sport`; `all` where the table does not repeat'),
  nodeIndex: z.number().int().describe('in the row-major values of the variant, from 0'),
  at: z
    .array(z.object({ quantity: z.string(), title: z.string(), unit: z.string(), value: z.number() }))
    .describe('break points of the node, one for each axis of the table'),
  unit: z.string().describe('of both values; `1` for a factor'),
  presentValue: z.number(),
  proposedValue: z.number().describe('equal to the present one when left alone'),
  changePercent: z.number().nullable().describe('null where the present value is 0'),
  change: z.enum(['raise', 'lower', 'leave']),
  verdict: z.enum(NODE_VERDICTS),
  correctionPercent: z.number().describe('estimated: wanted over present value'),
  sdPercent: z.number().nullable().describe('posterior standard deviation; null where nobody drove'),
  lowPercent: z.number().nullable().describe('the correction lies between both with 95 %'),
  highPercent: z.number().nullable(),
  shifts: z.number().describe('effective number behind the node'),
  vehicles: z.number().describe('effective number behind the node'),
  flareRate: z.number().nullable().describe('share of the shifts over the node that flared'),
  reasons: z
    .array(z.enum(NODE_REASONS))
    .describe(
      'what held it back. Left alone: `notPositive`, `tooFewShifts`, `tooFewVehicles`, `tooUncertain`, ' +
        '`withinUncertainty`. Limited: `stepLimit`, `layoutLimit`, `flaring` (not lowered), `course`, `slope`, ' +
        '`storageStep`. `carried`: without evidence of its own, along with a neighbour',
    ),
});
export type ExportedNode = z.infer<typeof exportedNode>;

/** A proposal to be kept or read by another program. */
export const proposalNodesResponse = z.object({
  kind: z.literal('syncline.proposal'),
  proposalId: id,
  calibrationTitle: z.string(),
  baseRevisionId: id,
  baseRevisionNumber: z.number().int(),
  baseContentHash: hash.describe('of the revision that present values are of'),
  subject: proposalSubject,
  policy: proposalPolicy,
  estimatorVersion: z.number().int(),
  madeAt: instant.nullable(),
  inputHash: hash,
  resultHash: hash.nullable(),
  shifts: z.number().describe('that the estimate counts'),
  vehicles: z.number().int(),
  nodes: z.array(exportedNode),
});
export type ProposalNodesResponse = z.infer<typeof proposalNodesResponse>;

/** All that changes, or the nodes named. A part may break a course that the whole keeps: the draft says so. */
export const takeProposalRequest = z.object({
  nodes: z
    .array(z.object({ tableId: z.string(), variant: z.string(), nodeIndex: z.number().int().min(0) }))
    .min(1)
    .max(20_000)
    .optional(),
  title: shortText.optional(),
  line: lineName.optional(),
});
export const rejectProposalRequest = z.object({ reason: shortText });

export const proposalOriginQuery = z
  .object({ draft: id.optional(), revision: id.optional() })
  .refine(({ draft, revision }) => (draft === undefined) !== (revision === undefined), 'name a draft or a revision');
export const proposalOriginResponse = z.object({ proposal: proposalSummary.nullable() });
export type ProposalOriginResponse = z.infer<typeof proposalOriginResponse>;

export const vehicleTrimsResponse = z.object({
  vehicleId: id,
  items: z.array(
    vehicleTrim.extend({
      proposalId: id,
      subject: proposalSubject,
      baseRevisionId: id,
      baseRevisionLabel: z.string(),
      madeAt: instant,
      vehicleSd: z.number().describe('between cars, ln torque'),
      vehicleShiftSd: z.number().describe('between cars in one kind of shift, ln torque'),
      fleetVehicles: z.number().int(),
    }),
  ),
});
export type VehicleTrimsResponse = z.infer<typeof vehicleTrimsResponse>;

const learnt = { percent: z.number().min(-50).max(50).describe('learnt over tabulated pressure') };
/** What a control unit has learnt: one value for a clutch, or one for a node of a table that repeats per shift. */
export const learntValue = z.union([
  z.strictObject({ clutch: z.string().max(20), ...learnt }),
  z.strictObject({
    tableId: z.string().max(60),
    variant: z.string().max(60),
    row: z.number().int().min(0),
    column: z.number().int().min(0),
    ...learnt,
  }),
]);
export const createAdaptationRequest = z.object({
  revisionId: id.describe('that ran in the car when it learnt'),
  readAt: instant,
  note: longText.default(''),
  worthShifts: z.number().min(1).max(200).default(10).describe('undisturbed shifts that each value tells as much as'),
  values: z.array(learntValue).min(1).max(2000),
});
export const adaptation = z.object({
  id,
  vehicleId: id,
  revisionId: id,
  revisionLabel: z.string(),
  readAt: instant,
  note: z.string(),
  worthShifts: z.number(),
  values: z.array(learntValue),
  byName: z.string(),
  createdAt: instant,
});
export type Adaptation = z.infer<typeof adaptation>;
export const adaptationsResponse = z.object({ items: z.array(adaptation) });
