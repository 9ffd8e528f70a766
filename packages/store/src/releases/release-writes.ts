import { and, eq } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { insertRows } from '../database/insert-rows.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { downloads, releaseCars, releaseEvents, releaseLooks, releases } from '../schema/releases.js';
import { StoreError } from '../store-error.js';
import { getVehicle, requireRevisionFor } from '../vehicles/vehicle-writes.js';
import type { ReleaseEventKind, ReleaseWrites } from './releases.js';

export function releaseWrites(context: WriteContext): ReleaseWrites {
  const { db, clock, ids, transaction } = context;

  function get(releaseId: string) {
    const release = db.select().from(releases).where(eq(releases.id, releaseId)).get();
    if (!release) throw new StoreError('not_found', `There is no release '${releaseId}'.`);
    return release;
  }

  function note(
    actor: Actor,
    event: {
      readonly releaseId: string;
      readonly kind: ReleaseEventKind;
      readonly stage: number;
      readonly reason: string;
    },
  ): void {
    db.insert(releaseEvents)
      .values({ id: ids(), ...event, byName: actor.name, atMs: clock() })
      .run();
  }

  function audit(actor: Actor, action: string, releaseId: string, detail: string): void {
    appendAudit(context, { actor, action, target: `release:${releaseId}`, detail });
  }

  return {
    draft: ({ actor, revisionId, ...input }) =>
      transaction(() => {
        const revision = db
          .select({
            platformId: revisions.platformId,
            contentHash: revisions.contentHash,
            number: revisions.number,
            title: calibrations.title,
          })
          .from(revisions)
          .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
          .where(eq(revisions.id, revisionId))
          .get();
        if (!revision) throw new StoreError('not_found', `There is no revision '${revisionId}'.`);
        const { platformId, contentHash, number, title } = revision;
        if (input.replacesId !== null) requireRevisionFor(context, platformId, input.replacesId);
        const id = ids();
        db.insert(releases)
          .values({
            ...input,
            id,
            platformId,
            revisionId,
            contentHash,
            state: 'draft',
            stage: 0,
            createdByName: actor.name,
            createdAtMs: clock(),
          })
          .run();
        note(actor, { releaseId: id, kind: 'draft', stage: 0, reason: '' });
        audit(actor, 'release.draft', id, `${title} ${number} (${contentHash}): ${input.words}`);
        return id;
      }),

    move: ({ actor, releaseId, kind, from, to, reason }) =>
      transaction(() => {
        const { state, stage } = get(releaseId);
        if (state !== from.state || stage !== from.stage) {
          throw new StoreError(
            'release_moved',
            `The release is ${state} at stage ${stage + 1} by now, no longer ${from.state} at stage ${from.stage + 1}.`,
          );
        }
        db.update(releases).set(to).where(eq(releases.id, releaseId)).run();
        note(actor, { releaseId, kind, stage: to.stage, reason });
        audit(
          actor,
          `release.${kind}`,
          releaseId,
          `${from.state}, stage ${from.stage + 1} → ${to.state}, stage ${to.stage + 1}${reason && `: ${reason}`}`,
        );
      }),

    takeIn: ({ actor, releaseId, stage, vehicleIds, joined }) =>
      transaction(() => {
        const takenAtMs = clock();
        insertRows(
          db,
          releaseCars,
          vehicleIds.map((vehicleId) => ({
            releaseId,
            vehicleId,
            stage,
            takenAtMs,
            answer: 'none' as const,
            answerNote: '',
            answeredAtMs: null,
          })),
        );
        if (joined === null) return;
        note(actor, { releaseId, kind: 'join', stage, reason: joined });
        audit(actor, 'release.join', releaseId, joined);
      }),

    answer: ({ actor, releaseId, vehicleId, answer, note: answerNote }) =>
      transaction(() => {
        const { stage } = get(releaseId);
        const { title } = getVehicle(context, vehicleId);
        const { changes } = db
          .update(releaseCars)
          .set({ answer, answerNote, answeredAtMs: clock() })
          .where(and(eq(releaseCars.releaseId, releaseId), eq(releaseCars.vehicleId, vehicleId)))
          .run();
        if (changes === 0) {
          throw new StoreError('not_found', `Release '${releaseId}' was not offered to car '${vehicleId}'.`);
        }
        const reason = [title, answerNote].filter(Boolean).join(': ');
        note(actor, { releaseId, kind: answer, stage, reason });
        audit(actor, `release.${answer}`, releaseId, reason);
      }),

    keepLook: (look) =>
      transaction(() => {
        db.insert(releaseLooks)
          .values({ id: ids(), atMs: clock(), ...look })
          .run();
      }),

    recordDownload: ({ actor, ...download }) =>
      transaction(() => {
        const { title } = getVehicle(context, download.vehicleId);
        db.insert(downloads)
          .values({ id: ids(), ...download, personId: actor.id, personName: actor.name, atMs: clock() })
          .run();
        audit(
          actor,
          'release.download',
          download.releaseId,
          `for ${title}: content ${download.contentHash} as ${download.format}, file ${download.fileSha256}`,
        );
      }),
  };
}
