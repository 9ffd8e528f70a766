import type { BackupService } from '../services/backups.js';

/** How often it is looked whether a backup is due; one that failed is tried again then (ms). */
const LOOK_EVERY_MS = 10 * 60_000;
/** A start has other things to do first (ms). */
const FIRST_LOOK_MS = 60_000;

/** Makes backups when they are due. Returns how to stop; that waits for one that is under way. */
export function startBackups(backups: BackupService): () => Promise<void> {
  // What went wrong is in the log and on the page of the server; the next look tries again.
  const look = () => {
    if (backups.isDue()) backups.make().catch(() => {});
  };
  const first = setTimeout(look, FIRST_LOOK_MS);
  const timer = setInterval(look, LOOK_EVERY_MS);
  return () => {
    clearTimeout(first);
    clearInterval(timer);
    return backups.settled();
  };
}
