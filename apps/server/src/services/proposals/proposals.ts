import { canonicalJson, clutchExchange, sha256Hex } from '@syncline/calibration';
import type { createAdaptationRequest, createProposalRequest, takeProposalRequest } from '@syncline/contract';
import { applyProposal, DEFAULT_PROPOSAL_POLICY, type NodeProposal } from '@syncline/fleet';
import type {
  Adaptation,
  LearntValue,
  ProposalDetail,
  ProposalInputs,
  ProposalPolicyDocument,
  ProposalSummary,
  Store,
  Actor as StoreActor,
  VehicleTrims,
} from '@syncline/store';
import type { z } from 'zod';
import { previewJob, proposalJob } from '../../jobs/job-kinds.js';
import { ESTIMATOR_VERSION } from '../../jobs/proposals/estimator-version.js';
import { notFound, problem } from '../../problem-error.js';
import { type Actor, scopeOf } from '../actor.js';
import type { CalibrationService, OpenedRevision } from '../calibrations.js';
import type { DraftService, OpenedDraft } from '../drafts.js';
import { isSameGrid, type Subject, subjectDesign, subjectsOf } from './subjects.js';

/**
 * Responses under an earlier, worse map are clipped and bend the estimate when they are carried over. Those at which the
 * earlier map commanded the same need no carrying, and count.
 */
export const USUAL_POLICY = {
  ...DEFAULT_PROPOSAL_POLICY,
  useEarlierRevisions: false,
  useSameCommand: true,
} satisfies ProposalPolicyDocument;

/** Makes proposals when no one asks for them. */
const SERVER: StoreActor = { kind: 'system', id: null, name: 'the server', requestId: 'nightly proposals' };
/** The server looks for new evidence more often than it proposes. */
const NIGHTLY_MS = 20 * 3600_000;

export type ProposalService = ReturnType<typeof createProposalService>;

/** From everybody's shifts to the next revision: proposals, what becomes of them, and what belongs to single cars. */
export function createProposalService(
  store: Store,
  {
    calibrations,
    drafts,
    clock,
    analysisVersion,
    nudgeJobs,
  }: {
    readonly calibrations: CalibrationService;
    readonly drafts: DraftService;
    readonly clock: () => number;
    readonly analysisVersion: number;
    readonly nudgeJobs: () => void;
  },
) {
  const { read, proposals, jobs } = store;
  /** A revision never changes its layout, nor a layout its tables. */
  const subjectsByRevision = new Map<string, readonly Subject[]>();

  function get(proposalId: string): ProposalDetail {
    const detail = read.proposals.find(proposalId);
    if (!detail) throw notFound('proposal');
    return detail;
  }

  function getReady(proposalId: string) {
    const detail = get(proposalId);
    const { result } = detail;
    if (result === null) throw problem('proposal.notReady', { detail: detail.problem ?? 'It is being made.' });
    return { ...detail, result };
  }

  /** The base and, where they count, the earlier revisions that it came from and whose nodes are the same places. */
  function revisionsFor(base: OpenedRevision, subject: Subject, policy: ProposalPolicyDocument): string[] {
    const ids = [base.summary.id];
    const design = subjectDesign(base.layout, base.content, subject);
    let { parentId } = base.summary;
    while ((policy.useEarlierRevisions || policy.useSameCommand) && parentId !== null) {
      const earlier = calibrations.open(parentId);
      if (earlier.summary.layoutVersion !== base.summary.layoutVersion) break;
      if (isSameGrid(subjectDesign(earlier.layout, earlier.content, subject), design)) ids.push(parentId);
      parentId = earlier.summary.parentId;
    }
    return ids;
  }

  function inputsFor(base: OpenedRevision, subject: Subject, policy: ProposalPolicyDocument): ProposalInputs {
    const { id, contentHash, layoutVersion, platformId } = base.summary;
    return {
      baseRevisionId: id,
      baseContentHash: contentHash,
      layoutVersion,
      subject: subject.id,
      estimatorVersion: ESTIMATOR_VERSION,
      analysisVersion,
      gradingPolicyVersion: read.platforms.find(platformId)?.policy.version ?? 0,
      policy,
      evidence: read.proposals.evidence(revisionsFor(base, subject, policy)),
    };
  }

  /** Notes what is asked for and queues the work; the same inputs are the same proposal. */
  function request(
    actor: StoreActor,
    calibrationId: string,
    inputs: ProposalInputs,
    { isByItself }: { readonly isByItself: boolean },
  ): string {
    return store.transaction(() => {
      const inputHash = sha256Hex(canonicalJson(inputs));
      const { proposalId } = proposals.request({ actor, calibrationId, inputs, inputHash, isByItself });
      if (get(proposalId).state === 'waiting') jobs.enqueue(proposalJob(proposalId, isByItself));
      nudgeJobs();
      return proposalId;
    });
  }

  return {
    get,
    usualInputs,

    list(calibrationId: string): readonly ProposalSummary[] {
      calibrations.get(calibrationId);
      return read.proposals.list(calibrationId);
    },

    /** What may be corrected in each revision of a calibration. */
    subjects(calibrationId: string): { readonly revisionId: string; readonly subjects: readonly Subject[] }[] {
      const { platformId, revisions } = calibrations.get(calibrationId);
      const byLayout = new Map<number, Subject[]>();
      return revisions.map(({ id: revisionId, layoutVersion }) => {
        const subjects =
          byLayout.get(layoutVersion) ?? subjectsOf(calibrations.openLayout(platformId, layoutVersion).layout);
        byLayout.set(layoutVersion, subjects);
        return { revisionId, subjects };
      });
    },

    /** A proposal that is made, with the revision whose nodes it is about. */
    exported(proposalId: string) {
      const proposal = getReady(proposalId);
      const { layout, content } = calibrations.open(proposal.base.id);
      const { id, title, unit } = subjectsOf(layout).find((own) => own.id === proposal.subject) ?? {
        id: proposal.subject,
        title: proposal.subject,
        unit: '',
      };
      return { proposal, subject: { id, title, unit }, layout, content };
    },

    /** Words for a subject; its id where the layout is gone. */
    subjectOf({ base, subject }: Pick<ProposalSummary, 'base' | 'subject'>): Pick<Subject, 'id' | 'title' | 'unit'> {
      const subjects = subjectsByRevision.get(base.id) ?? subjectsOf(calibrations.open(base.id).layout);
      subjectsByRevision.set(base.id, subjects);
      return subjects.find(({ id }) => id === subject) ?? { id: subject, title: subject, unit: '' };
    },

    create(actor: Actor, calibrationId: string, wish: z.infer<typeof createProposalRequest>): ProposalDetail {
      calibrations.get(calibrationId);
      const base = calibrations.open(wish.baseRevisionId);
      if (base.summary.calibrationId !== calibrationId) throw notFound('revision of this calibration');
      const subjects = subjectsOf(base.layout);
      const subject = wish.subject === undefined ? subjects[0] : subjects.find(({ id }) => id === wish.subject);
      if (!subject) throw problem('proposal.subjectUnknown', { detail: knownSubjects(wish.subject, subjects) });
      const inputs = inputsFor(base, subject, { ...USUAL_POLICY, ...wish.policy });
      if (!isDriven(inputs)) {
        throw problem('proposal.noEvidence', { detail: `No shift under r${base.summary.number} is known.` });
      }
      return get(request(actor, calibrationId, inputs, { isByItself: false }));
    },

    /**
     * Proposes for the newest driven revision of each calibration where there is evidence that no proposal knows. At most
     * once a night, and not before enough cars have driven for anything to change. Returns how many were asked for.
     */
    proposeNightly(): number {
      let count = 0;
      for (const { id } of read.calibrations.list({ limit: 200 }).items) {
        const newest = read.proposals.list(id).find(({ isByItself }) => isByItself);
        if (newest && newest.requestedAtMs > clock() - NIGHTLY_MS) continue;
        const inputs = nightlyInputs(id);
        if (!inputs || read.proposals.findByInput(sha256Hex(canonicalJson(inputs))) !== undefined) continue;
        request(SERVER, id, inputs, { isByItself: true });
        count += 1;
      }
      return count;
    },

    /** Takes the place of a proposal whose evidence changed before it was made. Returns its id. */
    renew(detail: ProposalDetail): string {
      const base = calibrations.open(detail.base.id);
      const subject = subjectsOf(base.layout).find(({ id }) => id === detail.subject);
      if (!subject) throw new Error(`layout ${base.layout.version} has no subject ${detail.subject}`);
      const { calibrationId, isByItself, policy } = detail;
      return request({ ...SERVER, requestId: 'renew proposal' }, calibrationId, inputsFor(base, subject, policy), {
        isByItself,
      });
    },

    /** A draft with what the proposal changes, all of it or the nodes named. */
    take(actor: Actor, proposalId: string, wish: z.infer<typeof takeProposalRequest>): OpenedDraft {
      const proposal = getReady(proposalId);
      const { base, result, inputHash, madeAtMs } = proposal;
      const { content } = calibrations.open(base.id);
      const keyOf = ({ tableId, variant, nodeIndex }: Pick<NodeProposal, 'tableId' | 'variant' | 'nodeIndex'>) =>
        `${tableId}/${variant}/${nodeIndex}`;
      const wanted = wish.nodes && new Set(wish.nodes.map(keyOf));
      const changing = result.nodes.filter(({ change }) => change !== 'leave');
      const taken = wanted ? changing.filter((node) => wanted.has(keyOf(node))) : changing;
      if (taken.length === 0) throw problem('proposal.nothingToTake');
      const part = taken.length === changing.length ? `all ${taken.length}` : `${taken.length} of ${changing.length}`;
      const day = new Date(madeAtMs ?? 0).toISOString().slice(0, 10);
      return store.transaction(() => {
        const draft = drafts.begin(actor, proposal.calibrationId, {
          title: wish.title ?? `Proposal of ${day} on r${base.number}`,
          line: wish.line,
          origin: 'proposal',
          originNote: `${part} changes proposed on ${day} from the shifts of the fleet, inputs ${inputHash.slice(0, 12)}`,
          parentId: base.id,
          content: applyProposal(content, taken),
        });
        proposals.noteDraft({ actor, proposalId, draftId: draft.summary.id, takenNodes: taken.length });
        return draft;
      });
    },

    reject(actor: Actor, proposalId: string, reason: string): ProposalDetail {
      getReady(proposalId);
      proposals.reject({ actor, proposalId, reason });
      return get(proposalId);
    },

    /** Tries the proposal on simulated cars. */
    preview(proposalId: string): ProposalDetail {
      getReady(proposalId);
      jobs.enqueue(previewJob(proposalId));
      nudgeJobs();
      return get(proposalId);
    },

    findPreview: (proposalId: string) => read.proposals.findPreview(proposalId),
    isPreviewing: (proposalId: string): boolean => read.jobs.isLive(previewJob(proposalId)),

    findOrigin: (of: { readonly draftId: string } | { readonly revisionId: string }): ProposalSummary | null =>
      read.proposals.findOrigin(of) ?? null,

    trims(actor: Actor, vehicleId: string): readonly VehicleTrims[] {
      assertVehicle(actor, vehicleId);
      return read.proposals.trims(vehicleId);
    },

    /** Names for the ids that a proposal is made of. */
    namesIn({ base, calibrationId, inputs }: ProposalDetail) {
      const { platformId, revisions } = calibrations.get(calibrationId);
      const vehicleIds = new Set(inputs.evidence.map(({ vehicleId }) => vehicleId));
      const names = read.proposals.vehicleNames([...vehicleIds]);
      return {
        platformId,
        revisionNumbers: new Map([...revisions, base].map(({ id, number }) => [id, number])),
        titles: new Map(names.map((name) => [name.id, fullTitle(name)])),
      };
    },

    adaptations(actor: Actor, vehicleId: string): readonly Adaptation[] {
      assertVehicle(actor, vehicleId);
      return read.proposals.adaptations(vehicleId);
    },

    addAdaptation(actor: Actor, vehicleId: string, input: z.infer<typeof createAdaptationRequest>): Adaptation {
      const { platformId } = assertVehicle(actor, vehicleId);
      const { revisionId, values, worthShifts, note } = input;
      const revision = read.calibrations.findRevision(revisionId);
      if (!revision || revision.platformId !== platformId) throw notFound('revision for this car');
      const faults = values.flatMap((value) => faultOf(calibrations.open(revisionId), value));
      if (faults.length > 0) throw problem('adaptation.unknownPlace', { detail: faults.slice(0, 5).join(' ') });
      const readAtMs = Date.parse(input.readAt);
      if (readAtMs > clock()) {
        throw problem('request.invalid', {
          detail: 'The values cannot have been read in the future.',
          fields: [{ path: 'body.readAt', message: 'is in the future' }],
        });
      }
      const document = { values, worthShifts };
      const id = proposals.addAdaptation({ actor, vehicleId, revisionId, readAtMs, note, document });
      const added = read.proposals.adaptations(vehicleId).find((entry) => entry.id === id);
      if (!added) throw notFound('adaptation');
      return added;
    },
  };

  function assertVehicle(actor: Actor, vehicleId: string) {
    const vehicle = read.vehicles.find(scopeOf(actor), vehicleId);
    if (!vehicle) throw notFound('vehicle');
    return vehicle;
  }

  /** What is asked of a revision when nobody says otherwise; undefined where its layout has nothing to be corrected. */
  function usualInputs(base: OpenedRevision): ProposalInputs | undefined {
    const [subject] = subjectsOf(base.layout);
    return subject && inputsFor(base, subject, USUAL_POLICY);
  }

  function nightlyInputs(calibrationId: string): ProposalInputs | undefined {
    const { revisions } = calibrations.get(calibrationId);
    const driven = revisions.filter(({ shiftCount }) => shiftCount > 0).at(-1);
    if (!driven) return undefined;
    const inputs = usualInputs(calibrations.open(driven.id));
    const cars = inputs?.evidence.filter(({ revisionId }) => revisionId === inputs.baseRevisionId);
    return inputs && (cars?.length ?? 0) >= USUAL_POLICY.minVehicles ? inputs : undefined;
  }
}

/** Whether there is anything to go by: with earlier revisions carried over, a base that nobody drove will do. */
function isDriven({ baseRevisionId, policy, evidence }: ProposalInputs): boolean {
  return evidence.some(({ revisionId }) => policy.useEarlierRevisions || revisionId === baseRevisionId);
}

/** Several cars of a club have the same title, so that the owner is named too. */
function fullTitle({ title, ownerName }: { readonly title: string; readonly ownerName: string }): string {
  return title.includes(ownerName) ? title : `${title} of ${ownerName}`;
}

function knownSubjects(wanted: string | undefined, subjects: readonly Subject[]): string {
  const known = subjects.map(({ id }) => `'${id}'`).join(', ') || 'none';
  return wanted === undefined
    ? 'The layout has no rule that commands a pressure (kPa) as a product of tables, and no fill times.'
    : `'${wanted}' is not among what its layout has to be corrected: ${known}.`;
}

/** What a learnt value names that is not there. */
function faultOf({ platform, layout, content }: OpenedRevision, value: LearntValue): string[] {
  if ('clutch' in value) {
    const comesOn = platform.shifts.some(
      ({ from, to }) => clutchExchange(platform, from, to).oncoming[0] === value.clutch,
    );
    return comesOn ? [] : [`No shift of the platform has '${value.clutch}' as its on-coming clutch.`];
  }
  const { tableId, variant, row, column } = value;
  const spec = layout.tables.find(({ id }) => id === tableId);
  const table = content.tables[tableId];
  if (!spec || !table || !Object.hasOwn(table.values, variant))
    return [`There is no table '${tableId}' of '${variant}'.`];
  if (!['shift', 'upshift', 'downshift'].includes(spec.repeat)) return [`'${spec.title}' does not repeat per shift.`];
  const [rows, columns] = [table.axes[0]?.length ?? 1, table.axes[1]?.length ?? 1];
  const isInside = row < rows && column < columns;
  return isInside
    ? []
    : [`'${spec.title}' ${variant} has ${rows} × ${columns} cells; there is no row ${row}, column ${column}.`];
}
