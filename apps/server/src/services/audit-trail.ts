import { setImmediate as nextTick } from 'node:timers/promises';
import { type AuditEntry, type AuditFilter, ChainCheck, type ChainVerdict, type Store } from '@syncline/store';

/** Entries read and checked at once, so that other requests come in between. */
const BATCH = 500;

export type AuditTrailService = ReturnType<typeof createAuditTrailService>;

/** The audit trail: its pages, whole exports, and whether every entry is as it was written. */
export function createAuditTrailService({ read: { audit } }: Pick<Store, 'read'>) {
  /** Oldest first, a batch at a time. */
  async function* batches(filter: AuditFilter = {}): AsyncGenerator<readonly AuditEntry[]> {
    for (let afterId = 0; ; ) {
      const entries = audit.after(afterId, BATCH, filter);
      if (entries.length === 0) return;
      yield entries;
      afterId = entries[entries.length - 1].id;
      await nextTick();
    }
  }

  return {
    list: (...query: Parameters<typeof audit.list>) => audit.list(...query),
    batches,

    /** Reads the trail from its first entry on. */
    async check(): Promise<ChainVerdict> {
      const chain = new ChainCheck();
      for await (const entries of batches()) {
        if (!chain.take(entries)) break;
      }
      return chain.verdict();
    },

    /** Whether an entry has this hash: one that was the head once still has to be there. */
    async hasHash(hash: string): Promise<boolean> {
      for await (const entries of batches()) {
        if (entries.some((entry) => entry.hash === hash)) return true;
      }
      return false;
    },
  };
}
