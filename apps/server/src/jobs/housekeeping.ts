import type { Store } from '@syncline/store';
import type { FastifyBaseLogger } from 'fastify';

const EVERY_MS = 6 * 3600_000;

/** Now and every few hours removes what no one refers to any more. Returns how to stop it. */
export function startHousekeeping(store: Store, log: FastifyBaseLogger): () => void {
  const tidy = async () => {
    try {
      const forgottenReplies = store.idempotency.sweep();
      const { removed } = await store.blobs.sweep();
      log.info({ event: 'housekeeping.done', forgottenReplies, removedFiles: removed.length });
    } catch (error) {
      log.error({ event: 'housekeeping.failed', err: error });
    }
  };
  void tidy();
  const timer = setInterval(() => void tidy(), EVERY_MS);
  return () => clearInterval(timer);
}
