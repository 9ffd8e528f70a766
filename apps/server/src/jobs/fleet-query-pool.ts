import { fileURLToPath } from 'node:url';
import type { FastifyBaseLogger } from 'fastify';
import { Piscina } from 'piscina';
import type { FleetQueryName, FleetQueryPool } from '../services/fleet-queries/queries.js';
import type { FleetQueryTask } from '../workers/fleet-queries.js';

/** Workers run compiled code only, whether this file was compiled or is read by the tests. */
const WORKER_FILE = fileURLToPath(new URL('../../dist/workers/fleet-queries.js', import.meta.url));
/** With the thread go the summaries that it holds in memory (ms). */
const IDLE_MS = 10 * 60_000;

/** Questions that take seconds with hundreds of cars: the others do not wait for them. */
const SLOW: readonly FleetQueryName[] = ['spreads'];

/**
 * A thread that answers questions to the fleet, and one for the slow ones, each begun with its first. One each, so that
 * a question meets the answer that was remembered.
 */
export function createFleetQueryPool(folder: string, log: FastifyBaseLogger): FleetQueryPool {
  const [quick, slow] = [createThread(log), createThread(log)];
  return {
    ask: (name, input) => (SLOW.includes(name) ? slow : quick).run({ folder, name, input } satisfies FleetQueryTask),
    async close() {
      await Promise.all([quick.destroy(), slow.destroy()]);
    },
  };
}

function createThread(log: FastifyBaseLogger): Piscina {
  const pool = new Piscina({ filename: WORKER_FILE, minThreads: 0, maxThreads: 1, idleTimeout: IDLE_MS });
  pool.on('error', (err) => log.error({ event: 'fleetQueries.failed', err }));
  return pool;
}
