import { deflateRawSync } from 'node:zlib';
import { and, eq } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { insertRows } from '../database/insert-rows.js';
import { endJob } from '../jobs/end-job.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import {
  adaptations,
  draftPreviews,
  proposalDecisions,
  proposalPreviews,
  proposals,
  proposalVehicles,
  vehicleMoments,
} from '../schema/proposals.js';
import { vehicles } from '../schema/vehicles.js';
import { StoreError } from '../store-error.js';
import { countEvidence } from './count-evidence.js';
import type { NewMoments, ProposalWrites } from './proposals.js';

/** Moments are sums of whole steps and mostly zeros: the least effort shrinks them to a few per cent. */
const EFFORT = { level: 1 } as const;

export function proposalWrites(context: WriteContext): ProposalWrites {
  const { db, clock, ids, transaction } = context;

  function get(proposalId: string) {
    const row = db
      .select({ state: proposals.state, title: calibrations.title, number: revisions.number })
      .from(proposals)
      .innerJoin(revisions, eq(revisions.id, proposals.baseRevisionId))
      .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
      .where(eq(proposals.id, proposalId))
      .get();
    if (!row) throw new StoreError('not_found', `There is no proposal '${proposalId}'.`);
    return { ...row, label: `${row.title} ${row.number}` };
  }

  function assertNotRejected(proposalId: string): void {
    const rejection = db
      .select()
      .from(proposalDecisions)
      .where(and(eq(proposalDecisions.proposalId, proposalId), eq(proposalDecisions.decision, 'rejected')))
      .get();
    if (!rejection) return;
    throw new StoreError('proposal_rejected', `${rejection.byName} rejected it: ${rejection.reason}`);
  }

  return {
    request: ({ actor, calibrationId, inputs, inputHash, isByItself }) =>
      transaction(() => {
        const known = db
          .select({ id: proposals.id, state: proposals.state })
          .from(proposals)
          .where(eq(proposals.inputHash, inputHash))
          .get();
        if (known) {
          // One that broke off is taken up again.
          if (known.state === 'failed') {
            db.update(proposals).set({ state: 'waiting', problem: null }).where(eq(proposals.id, known.id)).run();
          }
          return { proposalId: known.id, isNew: false };
        }
        const proposalId = ids();
        const { baseRevisionId, subject, policy } = inputs;
        db.insert(proposals)
          .values({
            id: proposalId,
            calibrationId,
            baseRevisionId,
            subject,
            policy,
            inputs,
            inputHash,
            state: 'waiting',
            isByItself,
            requestedAtMs: clock(),
            requestedByName: actor.name,
          })
          .run();
        appendAudit(context, {
          actor,
          action: 'proposal.request',
          target: `proposal:${proposalId}`,
          detail: `${get(proposalId).label}, ${subject} (inputs ${inputHash})`,
        });
        return { proposalId, isNew: true };
      }),

    complete: ({ lease, proposalId, moments, result, resultHash, tally }) =>
      transaction(() => {
        endJob(context, lease, { state: 'done' });
        keepMoments(context, moments);
        db.update(proposals)
          .set({
            state: 'ready',
            problem: null,
            madeAtMs: clock(),
            tally,
            resultHash,
            deflatedResult: deflateRawSync(JSON.stringify(result)),
          })
          .where(eq(proposals.id, proposalId))
          .run();
        const rows = result.vehicles.map(({ vehicleId, ...trim }) => ({ proposalId, vehicleId, trim }));
        insertRows(db, proposalVehicles, rows);
      }),

    fail: ({ lease, proposalId, moments, problem }) =>
      transaction(() => {
        endJob(context, lease, { state: 'done' });
        keepMoments(context, moments);
        db.update(proposals).set({ state: 'failed', problem }).where(eq(proposals.id, proposalId)).run();
      }),

    noteDraft: ({ actor, proposalId, draftId, takenNodes }) =>
      transaction(() => {
        const { label } = get(proposalId);
        assertNotRejected(proposalId);
        insertDecision(context, { proposalId, decision: 'drafted', draftId, takenNodes, reason: '', actor });
        appendAudit(context, {
          actor,
          action: 'proposal.take',
          target: `proposal:${proposalId}`,
          detail: `${label}: ${takenNodes} nodes into draft ${draftId}`,
        });
      }),

    reject: ({ actor, proposalId, reason }) =>
      transaction(() => {
        const { label } = get(proposalId);
        assertNotRejected(proposalId);
        insertDecision(context, { proposalId, decision: 'rejected', draftId: null, takenNodes: 0, reason, actor });
        appendAudit(context, {
          actor,
          action: 'proposal.reject',
          target: `proposal:${proposalId}`,
          detail: `${label}: ${reason}`,
        });
      }),

    keepPreview: ({ lease, proposalId, document }) =>
      transaction(() => {
        endJob(context, lease, { state: 'done' });
        const row = { madeAtMs: clock(), document };
        db.insert(proposalPreviews)
          .values({ proposalId, ...row })
          .onConflictDoUpdate({ target: proposalPreviews.proposalId, set: row })
          .run();
      }),

    keepDraftPreview: ({ lease, draftId, contentHash, moments, document }) =>
      transaction(() => {
        endJob(context, lease, { state: 'done' });
        keepMoments(context, moments);
        const row = { contentHash, madeAtMs: clock(), document };
        db.insert(draftPreviews)
          .values({ draftId, ...row })
          .onConflictDoUpdate({ target: draftPreviews.draftId, set: row })
          .run();
      }),

    addAdaptation: ({ actor, vehicleId, revisionId, readAtMs, note, document }) =>
      transaction(() => {
        const vehicle = db.select({ title: vehicles.title }).from(vehicles).where(eq(vehicles.id, vehicleId)).get();
        if (!vehicle) throw new StoreError('not_found', `There is no vehicle '${vehicleId}'.`);
        const id = ids();
        const createdAtMs = clock();
        db.insert(adaptations)
          .values({ id, vehicleId, revisionId, readAtMs, note, document, byName: actor.name, createdAtMs })
          .run();
        countEvidence(db, { vehicleId, revisionId });
        appendAudit(context, {
          actor,
          action: 'vehicle.addAdaptation',
          target: `vehicle:${vehicleId}`,
          detail: `${vehicle.title}: ${document.values.length} values, read ${new Date(readAtMs).toISOString()}`,
        });
        return id;
      }),
  };
}

function insertDecision(
  { db, clock, ids }: WriteContext,
  {
    actor,
    ...decision
  }: { readonly actor: { readonly name: string } } & Omit<
    typeof proposalDecisions.$inferInsert,
    'id' | 'byName' | 'decidedAtMs'
  >,
): void {
  db.insert(proposalDecisions)
    .values({ ...decision, id: ids(), byName: actor.name, decidedAtMs: clock() })
    .run();
}

/** Puts moments in the place of those of older evidence. Part of a larger transaction. */
function keepMoments({ db }: WriteContext, moments: readonly NewMoments[]): void {
  for (const { version, bytes, rows, ...rest } of moments) {
    const deflated = deflateRawSync(bytes, EFFORT);
    const row = { ...rest, evidenceVersion: version, deflated, deflatedRows: deflateRawSync(rows, EFFORT) };
    const { vehicleId, revisionId, subject } = vehicleMoments;
    db.insert(vehicleMoments)
      .values(row)
      .onConflictDoUpdate({ target: [vehicleId, revisionId, subject], set: row })
      .run();
  }
}
