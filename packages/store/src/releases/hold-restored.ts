import { existsSync, readFileSync, unlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { inArray } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { releases } from '../schema/releases.js';
import { releaseWrites } from './release-writes.js';

/** Stands in a data folder that was made from a backup, until its releases are held. */
const MARKER_NAME = 'restored.json';
const SERVER: Actor = { kind: 'system', id: null, name: 'the server', requestId: 'restore' };

/** Written before the database, so that no folder opens without it. */
export function markRestored(folder: string, takenAtMs: number): void {
  writeFileSync(join(folder, MARKER_NAME), JSON.stringify({ takenAtMs }), { mode: 0o600, flush: true });
}

/**
 * Holds every release that would go on by itself in a data folder that was made from a backup: what was held, recalled or
 * found out after the backup is not known here. Safe to repeat, and does nothing in a folder that was not restored.
 */
export function holdRestored(context: WriteContext, folder: string): void {
  const marker = join(folder, MARKER_NAME);
  if (!existsSync(marker)) return;
  const { takenAtMs } = JSON.parse(readFileSync(marker, 'utf8')) as { readonly takenAtMs: number };
  const when = `${new Date(takenAtMs).toISOString().slice(0, 16).replace('T', ' ')} UTC`;
  const { db, transaction } = context;
  const writes = releaseWrites(context);
  transaction(() => {
    const goingOn = db
      .select({ id: releases.id, state: releases.state, stage: releases.stage })
      .from(releases)
      .where(inArray(releases.state, ['running', 'complete']))
      .orderBy(releases.id)
      .all();
    appendAudit(context, {
      actor: SERVER,
      action: 'data.restore',
      target: 'data',
      detail: `restored from a backup of ${when}; ${goingOn.length} releases held`,
    });
    for (const { id, state, stage } of goingOn) {
      writes.move({
        actor: SERVER,
        releaseId: id,
        kind: 'hold',
        from: { state, stage },
        to: { state: 'held', stage },
        reason:
          `Restored from a backup of ${when}. Whether it was held or recalled after that is not known here: ` +
          'make sure before it is resumed.',
      });
    }
  });
  unlinkSync(marker);
}
