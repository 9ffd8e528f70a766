import type {
  FleetResponse,
  NodeProposal,
  OddCar,
  ProposalPolicy,
  VarianceComponents,
  VehicleTrim,
} from '@syncline/fleet';
import type { Actor } from '../actor.js';
import type { RevisionRef } from '../calibrations/calibrations.js';
import type { JobLease } from '../jobs/jobs.js';
import type { NewShift } from '../shifts/shifts.js';

export interface ProposalPolicyDocument extends ProposalPolicy {
  /** Whether shifts under earlier revisions of the line count too, carried to the one that is to be changed. */
  readonly useEarlierRevisions: boolean;
  /** Whether those count at which the revisions command the same; absent in proposals of earlier programs. */
  readonly useSameCommand?: boolean;
}

/** The evidence of one car under one revision, at one state. */
export interface EvidenceVersion {
  readonly vehicleId: string;
  readonly revisionId: string;
  readonly version: number;
}

/** Everything that a proposal depends on. */
export interface ProposalInputs {
  readonly baseRevisionId: string;
  readonly baseContentHash: string;
  readonly layoutVersion: number;
  /** `rule:` or `fill:` and the id of the rule or table. */
  readonly subject: string;
  /** Version of the estimator and of everything that makes moments of shifts. */
  readonly estimatorVersion: number;
  readonly analysisVersion: number;
  readonly gradingPolicyVersion: number;
  readonly policy: ProposalPolicyDocument;
  /** By vehicle and revision. */
  readonly evidence: readonly EvidenceVersion[];
}

export interface ProposalTally {
  readonly raised: number;
  readonly lowered: number;
  readonly left: number;
  readonly shifts: number;
  readonly vehicles: number;
  readonly oddVehicles: number;
}

/** What a proposal says of one car: its trims, and in what it is odd. */
export interface TrimDocument {
  readonly trim: VehicleTrim;
  readonly shifts: number;
  /** By shift kind: p/(p − p_ret) averaged over its shifts; the pressure that a trim means is `trimLn` over it. */
  readonly gainByKind: Readonly<Record<string, number>>;
  readonly shiftsByKind: Readonly<Record<string, number>>;
  readonly odd: readonly OddCar[];
  /** Shifts that count less because they are far from what all the rest says; absent in proposals of earlier programs. */
  readonly farShifts?: number;
}

/** Grades that a change of pressure is expected to move, as in packages/fleet. */
export interface ExpectedRateDocument {
  readonly grade: 'flare' | 'tieUp' | 'harsh';
  readonly before: number;
  readonly after: number;
  readonly low: number;
  readonly high: number;
}

export interface ProposalResult {
  readonly nodes: readonly NodeProposal[];
  readonly expectedRates: readonly ExpectedRateDocument[];
  readonly components: VarianceComponents;
  readonly response: FleetResponse;
  readonly isConverged: boolean;
  readonly shifts: number;
  readonly vehicles: readonly (TrimDocument & { readonly vehicleId: string })[];
  /** SHA-256 of the moments of each car and revision. */
  readonly moments: readonly {
    readonly vehicleId: string;
    readonly revisionId: string;
    readonly shifts: number;
    /** Of them, those that told anything and were used; absent in proposals of earlier programs. */
    readonly counted?: number;
    readonly sha256: string;
  }[];
  /** Versions of analysis and grading policy that the shifts carry, such as `analysis 2, policy 1`. */
  readonly shiftVersions: readonly string[];
}

export interface ProposalSummary {
  readonly id: string;
  readonly calibrationId: string;
  readonly calibrationTitle: string;
  readonly base: RevisionRef;
  readonly subject: string;
  readonly state: 'waiting' | 'ready' | 'failed';
  readonly problem: string | null;
  /** Made by the server, not asked for by a person. */
  readonly isByItself: boolean;
  readonly requestedAtMs: number;
  readonly requestedByName: string;
  readonly madeAtMs: number | null;
  readonly tally: ProposalTally | null;
  readonly inputHash: string;
  readonly resultHash: string | null;
  readonly policy: ProposalPolicyDocument;
  /** Oldest first. */
  readonly decisions: readonly ProposalDecision[];
}

export interface ProposalDecision {
  readonly decision: 'drafted' | 'rejected';
  readonly draftId: string | null;
  readonly draftTitle: string | null;
  readonly draftState: 'open' | 'made' | 'discarded' | null;
  /** Made of the draft. */
  readonly revisionId: string | null;
  readonly takenNodes: number;
  readonly reason: string;
  readonly byName: string;
  readonly decidedAtMs: number;
}

export interface ProposalDetail extends ProposalSummary {
  readonly inputs: ProposalInputs;
  readonly result: ProposalResult | null;
}

/** One value that a control unit has learnt: of a clutch, or of one node of a table that repeats per shift. */
export type LearntValue = { readonly percent: number } & (
  | { readonly clutch: string }
  | { readonly tableId: string; readonly variant: string; readonly row: number; readonly column: number }
);

export interface AdaptationDocument {
  readonly values: readonly LearntValue[];
  /** Undisturbed shifts that each value tells as much as. */
  readonly worthShifts: number;
}

export interface Adaptation extends AdaptationDocument {
  readonly id: string;
  readonly vehicleId: string;
  readonly revision: RevisionRef;
  readonly readAtMs: number;
  readonly note: string;
  readonly byName: string;
  readonly createdAtMs: number;
}

/** A shift with what it was graded by. */
export interface EvidenceShift extends NewShift {
  readonly drivenAtMs: number;
  readonly analysisVersion: number;
  readonly policyVersion: number;
}

export interface StoredMoments {
  readonly sha256: string;
  readonly shiftCount: number;
  readonly versions: readonly string[];
  /** As `encodeShiftMoments` wrote them. */
  readonly bytes: Uint8Array;
  /** As `encodeShiftRows` wrote them. */
  readonly rows: Uint8Array;
}

export interface NewMoments extends EvidenceVersion, StoredMoments {
  readonly subject: string;
  readonly estimatorVersion: number;
}

export interface ProposalReads {
  /** The newest hundred, newest first. */
  list(calibrationId: string): readonly ProposalSummary[];
  find(proposalId: string): ProposalDetail | undefined;
  /** The id of the proposal of these inputs. */
  findByInput(inputHash: string): string | undefined;
  /** The proposal that a draft, or the revision made of it, took from. */
  findOrigin(of: { readonly draftId: string } | { readonly revisionId: string }): ProposalSummary | undefined;
  /** By vehicle and revision. */
  evidence(revisionIds: readonly string[]): readonly EvidenceVersion[];
  /** Read the version of the evidence first, so that a change between is noticed later. In order of the drives. */
  evidenceShifts(vehicleId: string, revisionId: string): readonly EvidenceShift[];
  /** Only while they are of the evidence as it stands at `version`. */
  findMoments(
    of: EvidenceVersion & { readonly subject: string; readonly estimatorVersion: number },
  ): StoredMoments | undefined;
  /** What the newest proposals that know the car say of it, newest first, one for each base revision and subject. */
  trims(vehicleId: string): readonly VehicleTrims[];
  /** Newest reading first. */
  adaptations(vehicleId: string, revisionId?: string): readonly Adaptation[];
  /** Title and owner of cars, for a list of many. */
  vehicleNames(
    vehicleIds: readonly string[],
  ): readonly { readonly id: string; readonly title: string; readonly ownerName: string }[];
  findPreview(proposalId: string): KeptPreview | undefined;
  findDraftPreview(draftId: string): (KeptPreview & { readonly contentHash: string }) | undefined;
}

/** What a worker found, and when. */
export interface KeptPreview {
  readonly madeAtMs: number;
  readonly document: unknown;
}

/** Trims of a car with the proposal that they are of. */
export interface VehicleTrims extends TrimDocument {
  readonly proposalId: string;
  readonly subject: string;
  readonly base: RevisionRef;
  readonly madeAtMs: number;
  /** Spread of trims between cars, ln torque: of cars, and of cars in one kind of shift. */
  readonly vehicleSd: number;
  readonly vehicleShiftSd: number;
  readonly fleetVehicles: number;
}

export interface ProposalWrites {
  /** Returns its id; with the inputs of an earlier one that did not fail, the id of that and nothing new. */
  request(input: {
    readonly actor: Actor;
    readonly calibrationId: string;
    readonly inputs: ProposalInputs;
    readonly inputHash: string;
    readonly isByItself: boolean;
  }): { readonly proposalId: string; readonly isNew: boolean };
  /** Keeps moments and result, and ends the job. Throws `lease_lost`. */
  complete(input: {
    readonly lease: JobLease;
    readonly proposalId: string;
    readonly moments: readonly NewMoments[];
    readonly result: ProposalResult;
    readonly resultHash: string;
    readonly tally: ProposalTally;
  }): void;
  /** Ends the job with the reason why nothing can be proposed. Moments are kept all the same. */
  fail(input: {
    readonly lease: JobLease;
    readonly proposalId: string;
    readonly moments: readonly NewMoments[];
    readonly problem: string;
  }): void;
  /** Notes that a draft took from it. Throws `not_found`, `proposal_rejected`. */
  noteDraft(input: {
    readonly actor: Actor;
    readonly proposalId: string;
    readonly draftId: string;
    readonly takenNodes: number;
  }): void;
  /** Throws `not_found`, `proposal_rejected` when it was rejected before. */
  reject(input: { readonly actor: Actor; readonly proposalId: string; readonly reason: string }): void;
  keepPreview(input: { readonly lease: JobLease; readonly proposalId: string; readonly document: unknown }): void;
  /** Keeps what came of a draft in the place of what came of it before, with the moments that were made for it. */
  keepDraftPreview(input: {
    readonly lease: JobLease;
    readonly draftId: string;
    readonly contentHash: string;
    readonly moments: readonly NewMoments[];
    readonly document: unknown;
  }): void;
  /** Returns the id. Throws `not_found`. */
  addAdaptation(input: {
    readonly actor: Actor;
    readonly vehicleId: string;
    readonly revisionId: string;
    readonly readAtMs: number;
    readonly note: string;
    readonly document: AdaptationDocument;
  }): string;
}
