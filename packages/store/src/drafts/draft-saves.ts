import { deflateRawSync, inflateRawSync } from 'node:zlib';
import { and, eq, lte } from 'drizzle-orm';
import type { Db, WriteContext } from '../database/context.js';
import { draftSaves } from '../schema/drafts.js';

/** So many saves of each draft can be gone back to. */
const KEPT_SAVES = 100;
/** Saves come every few seconds: the least effort shrinks tables of numbers well enough. */
const EFFORT = { level: 1 } as const;

/** Keeps one save of a draft and lets the oldest go. */
export function keepSave(
  { db, clock }: WriteContext,
  save: {
    readonly draftId: string;
    readonly version: number;
    readonly canonicalJson: string;
    readonly changedCells: number;
    readonly byName: string;
  },
): void {
  const { draftId, version, changedCells, byName } = save;
  const deflatedJson = deflateRawSync(save.canonicalJson, EFFORT);
  db.insert(draftSaves).values({ draftId, version, deflatedJson, changedCells, byName, savedAtMs: clock() }).run();
  db.delete(draftSaves)
    .where(and(eq(draftSaves.draftId, draftId), lte(draftSaves.version, version - KEPT_SAVES)))
    .run();
}

/** The canonical JSON of a save that is still kept. */
export function findSavedJson(db: Db, draftId: string, version: number): string | undefined {
  const row = db
    .select({ deflatedJson: draftSaves.deflatedJson })
    .from(draftSaves)
    .where(and(eq(draftSaves.draftId, draftId), eq(draftSaves.version, version)))
    .get();
  return row && inflateRawSync(row.deflatedJson).toString('utf8');
}
