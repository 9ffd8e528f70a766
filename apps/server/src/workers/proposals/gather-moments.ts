import { sha256Hex } from '@syncline/calibration';
import {
  changeLn,
  decodeShiftMoments,
  type EarlierMoments,
  encodeShiftMoments,
  type NodeDesign,
  type ShiftMoments,
} from '@syncline/fleet';
import type { EvidenceVersion, NewMoments, ProposalDetail, ReadStore, StoredMoments } from '@syncline/store';
import { isSameGrid, type Subject, subjectDesign } from '../../services/proposals/subjects.js';
import { type MomentsContext, momentsOfShifts } from './moments-of-shifts.js';

export interface GatheredMoments {
  /** By vehicle: what was driven under the base revision. */
  readonly newest: ReadonlyMap<string, ShiftMoments>;
  /** The same under each earlier revision, as it was driven, with ln of the base's over its values by node. */
  readonly earlier: readonly EarlierMoments[];
  readonly parts: readonly (EvidenceVersion & Omit<StoredMoments, 'bytes'>)[];
  /** Those that were not kept yet. */
  readonly fresh: readonly NewMoments[];
}

/**
 * The moments of every car that a proposal counts: kept ones where its evidence is as it was, else made of its shifts.
 * Calls `onCar` with the share that is done.
 */
export function gatherMoments(
  { read }: ReadStore,
  { inputs }: ProposalDetail,
  base: Omit<MomentsContext, 'policyOf'>,
  onCar: (share: number) => void,
): GatheredMoments {
  const { platform, subject } = base;
  const policies = new Map<number, ReturnType<MomentsContext['policyOf']>>();
  const policyOf: MomentsContext['policyOf'] = (version) => {
    const policy = policies.get(version) ?? read.platforms.findPolicy(platform.id, version);
    if (!policy) throw new Error(`platform ${platform.id} has no policy ${version}`);
    policies.set(version, policy);
    return policy;
  };
  const designs = new Map<string, NodeDesign>([[inputs.baseRevisionId, base.design]]);
  const designOf = (revisionId: string): NodeDesign => {
    const design = designs.get(revisionId) ?? openDesign(read, revisionId, base.design, subject);
    designs.set(revisionId, design);
    return design;
  };
  const newest = new Map<string, ShiftMoments>();
  const earlier = new Map<string, EarlierMoments & { readonly byVehicle: Map<string, ShiftMoments> }>();
  const parts: GatheredMoments['parts'][number][] = [];
  const fresh: NewMoments[] = [];
  for (const [i, evidence] of inputs.evidence.entries()) {
    const { vehicleId, revisionId } = evidence;
    const key = { ...evidence, subject: subject.id, estimatorVersion: inputs.estimatorVersion };
    const design = designOf(revisionId);
    let kept = read.proposals.findMoments(key);
    if (!kept) {
      kept = makeMoments(read, evidence, { platform, subject, design, policyOf });
      fresh.push({ ...key, ...kept });
    }
    const { bytes, ...part } = kept;
    parts.push({ ...evidence, ...part });
    const driven = decodeShiftMoments(bytes);
    if (revisionId === inputs.baseRevisionId) newest.set(vehicleId, driven);
    else {
      const before = earlier.get(revisionId) ?? { byVehicle: new Map(), changeLn: changeLn(design, base.design) };
      before.byVehicle.set(vehicleId, driven);
      earlier.set(revisionId, before);
    }
    onCar((i + 1) / inputs.evidence.length);
  }
  return { newest, earlier: [...earlier.values()], parts, fresh };
}

function makeMoments(
  read: ReadStore['read'],
  { vehicleId, revisionId }: EvidenceVersion,
  context: MomentsContext,
): StoredMoments {
  const shifts = read.proposals.evidenceShifts(vehicleId, revisionId);
  const adaptations = read.proposals.adaptations(vehicleId, revisionId);
  const bytes = encodeShiftMoments(momentsOfShifts({ shifts, adaptations }, context));
  const versions = shifts.map((shift) => `analysis ${shift.analysisVersion}, policy ${shift.policyVersion}`);
  return { sha256: sha256Hex(bytes), shiftCount: shifts.length, versions: [...new Set(versions)].sort(), bytes };
}

function openDesign(read: ReadStore['read'], revisionId: string, base: NodeDesign, subject: Subject): NodeDesign {
  const content = read.calibrations.findContent(revisionId);
  if (!content) throw new Error(`there is no revision ${revisionId}`);
  const design = subjectDesign(base.layout, content, subject);
  if (!isSameGrid(design, base)) throw new Error(`revision ${revisionId} has other break points than the base`);
  return design;
}
