import type { RevisionContent } from '@syncline/calibration';
import { and, desc, eq } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import type { Db } from '../database/context.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { draftSaves, drafts } from '../schema/drafts.js';
import { people } from '../schema/people.js';
import { findSavedJson } from './draft-saves.js';
import type { DraftReads, DraftSummary } from './drafts.js';

const parent = alias(revisions, 'parent');
const mergeParent = alias(revisions, 'merge_parent');

export function draftReads(db: Db, clock: () => number): DraftReads {
  return {
    listOpen: (calibrationId) =>
      selectDrafts(db)
        .where(and(eq(drafts.calibrationId, calibrationId), eq(drafts.state, 'open')))
        .orderBy(desc(drafts.updatedAtMs), desc(drafts.id))
        .all()
        .map((row) => toSummary(row, clock())),

    find(draftId) {
      const row = selectDrafts(db).where(eq(drafts.id, draftId)).get();
      return row && toSummary(row, clock());
    },

    findContent(draftId) {
      const row = db
        .select({ canonicalJson: drafts.canonicalJson, baselineJson: drafts.baselineJson })
        .from(drafts)
        .where(eq(drafts.id, draftId))
        .get();
      return row && { content: parse(row.canonicalJson), baseline: row.baselineJson ? parse(row.baselineJson) : null };
    },

    listSaves: (draftId) =>
      db
        .select({
          version: draftSaves.version,
          savedAtMs: draftSaves.savedAtMs,
          byName: draftSaves.byName,
          changedCells: draftSaves.changedCells,
        })
        .from(draftSaves)
        .where(eq(draftSaves.draftId, draftId))
        .orderBy(desc(draftSaves.version))
        .all(),

    findSavedContent(draftId, version) {
      const json = findSavedJson(db, draftId, version);
      return json === undefined ? undefined : parse(json);
    },
  };
}

function selectDrafts(db: Db) {
  return db
    .select({
      id: drafts.id,
      calibrationId: drafts.calibrationId,
      calibrationTitle: calibrations.title,
      platformId: drafts.platformId,
      layoutVersion: drafts.layoutVersion,
      title: drafts.title,
      line: drafts.line,
      origin: drafts.origin,
      originNote: drafts.originNote,
      parentId: drafts.parentId,
      parentNumber: parent.number,
      mergeParentId: drafts.mergeParentId,
      mergeParentNumber: mergeParent.number,
      contentHash: drafts.contentHash,
      version: drafts.version,
      state: drafts.state,
      revisionId: drafts.revisionId,
      lockedById: drafts.lockedById,
      lockedByName: people.name,
      lockedUntilMs: drafts.lockedUntilMs,
      createdAtMs: drafts.createdAtMs,
      createdByName: drafts.createdByName,
      updatedAtMs: drafts.updatedAtMs,
      updatedByName: drafts.updatedByName,
    })
    .from(drafts)
    .innerJoin(calibrations, eq(calibrations.id, drafts.calibrationId))
    .leftJoin(parent, eq(parent.id, drafts.parentId))
    .leftJoin(mergeParent, eq(mergeParent.id, drafts.mergeParentId))
    .leftJoin(people, eq(people.id, drafts.lockedById));
}

type Row = NonNullable<ReturnType<ReturnType<typeof selectDrafts>['get']>>;

function toSummary({ lockedById, lockedByName, lockedUntilMs, ...rest }: Row, now: number): DraftSummary {
  const isHeld = lockedById !== null && lockedUntilMs !== null && lockedUntilMs > now;
  return {
    ...rest,
    lock: isHeld ? { personId: lockedById, personName: lockedByName ?? '', untilMs: lockedUntilMs } : null,
  };
}

function parse(canonicalJson: string): RevisionContent {
  return JSON.parse(canonicalJson) as RevisionContent;
}
