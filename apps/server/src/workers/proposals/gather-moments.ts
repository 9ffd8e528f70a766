import { sha256Hex } from '@syncline/calibration';
import {
  changeLn,
  decodeShiftMoments,
  decodeShiftRows,
  type EarlierMoments,
  encodeShiftMoments,
  encodeShiftRows,
  type NodeDesign,
  type ShiftMoments,
  type ShiftRows,
} from '@syncline/fleet';
import type { EvidenceVersion, NewMoments, ProposalInputs, ReadStore, StoredMoments } from '@syncline/store';
import { isSameGrid, type Subject, subjectDesign } from '../../services/proposals/subjects.js';
import { type MomentsContext, sumsOfShifts } from './moments-of-shifts.js';

/** Rows of a car's shifts under one revision; undefined where it has none. */
type RowsOf = (vehicleId: string) => ShiftRows | undefined;

export interface GatheredMoments {
  /** By vehicle: what was driven under the base revision. */
  readonly newest: ReadonlyMap<string, ShiftMoments>;
  readonly newestRows: RowsOf;
  /** The same under each earlier revision, as it was driven, with ln of the base's over its values by node. */
  readonly earlier: readonly (EarlierMoments & { readonly revisionId: string; readonly rowsOf: RowsOf })[];
  readonly parts: readonly (EvidenceVersion & Omit<StoredMoments, 'bytes' | 'rows'>)[];
  /** Those that were not kept yet. */
  readonly fresh: readonly NewMoments[];
}

/**
 * The moments of every car that an estimate counts: kept ones where its evidence is as it was, else made of its shifts.
 * Calls `onCar` with the share that is done.
 */
export function gatherMoments(
  { read }: ReadStore,
  inputs: ProposalInputs,
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
  const revisions = new Map<string, DrivenRevision>();
  const drivenUnder = (revisionId: string): DrivenRevision => {
    const isBase = revisionId === inputs.baseRevisionId;
    const driven = revisions.get(revisionId) ?? {
      design: isBase ? base.design : openDesign(read, revisionId, base.design, subject),
      byVehicle: new Map(),
      rows: new Map(),
    };
    revisions.set(revisionId, driven);
    return driven;
  };
  const parts: GatheredMoments['parts'][number][] = [];
  const fresh: NewMoments[] = [];
  for (const [i, evidence] of inputs.evidence.entries()) {
    const { vehicleId, revisionId } = evidence;
    const key = { ...evidence, subject: subject.id, estimatorVersion: inputs.estimatorVersion };
    const driven = drivenUnder(revisionId);
    let kept = read.proposals.findMoments(key);
    if (!kept) {
      kept = makeMoments(read, evidence, { platform, subject, design: driven.design, policyOf });
      fresh.push({ ...key, ...kept });
    }
    const { bytes, rows, ...part } = kept;
    parts.push({ ...evidence, ...part });
    driven.byVehicle.set(vehicleId, decodeShiftMoments(bytes));
    driven.rows.set(vehicleId, rows);
    onCar((i + 1) / inputs.evidence.length);
  }
  const { byVehicle: newest, rows } = drivenUnder(inputs.baseRevisionId);
  const earlier = [...revisions]
    .filter(([revisionId]) => revisionId !== inputs.baseRevisionId)
    .map(([revisionId, { design, ...own }]) => ({
      revisionId,
      byVehicle: own.byVehicle,
      changeLn: changeLn(design, base.design),
      rowsOf: decoderOf(own.rows),
    }));
  return { newest, newestRows: decoderOf(rows), earlier, parts, fresh };
}

interface DrivenRevision {
  readonly design: NodeDesign;
  readonly byVehicle: Map<string, ShiftMoments>;
  /** As they are kept. */
  readonly rows: Map<string, Uint8Array>;
}

function decoderOf(rows: ReadonlyMap<string, Uint8Array>): RowsOf {
  return (vehicleId) => {
    const own = rows.get(vehicleId);
    return own && decodeShiftRows(own);
  };
}

function makeMoments(
  read: ReadStore['read'],
  { vehicleId, revisionId }: EvidenceVersion,
  context: MomentsContext,
): StoredMoments {
  const shifts = read.proposals.evidenceShifts(vehicleId, revisionId);
  const adaptations = read.proposals.adaptations(vehicleId, revisionId);
  const sums = sumsOfShifts({ shifts, adaptations }, context);
  const [bytes, rows] = [encodeShiftMoments(sums.moments), encodeShiftRows(sums.rows)];
  const versions = shifts.map((shift) => `analysis ${shift.analysisVersion}, policy ${shift.policyVersion}`);
  return { sha256: sha256Hex(bytes), shiftCount: shifts.length, versions: [...new Set(versions)].sort(), bytes, rows };
}

function openDesign(read: ReadStore['read'], revisionId: string, base: NodeDesign, subject: Subject): NodeDesign {
  const content = read.calibrations.findContent(revisionId);
  if (!content) throw new Error(`there is no revision ${revisionId}`);
  const design = subjectDesign(base.layout, content, subject);
  if (!isSameGrid(design, base)) throw new Error(`revision ${revisionId} has other break points than the base`);
  return design;
}
