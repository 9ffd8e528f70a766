import { z } from 'zod';
import type { App } from '../app.js';

const up = z.object({ status: z.literal('up') });

/** Liveness: the process answers. Readiness: database, disk and workers can do their work. A guest learns nothing else. */
export function addHealthRoutes(app: App, isReady: () => boolean): void {
  const routes = { live: () => true, ready: isReady };
  for (const [name, isUp] of Object.entries(routes)) {
    app.get(
      `/health/${name}`,
      { config: { access: 'public' }, schema: { response: { 200: up, 503: z.object({ status: z.literal('down') }) } } },
      async (_request, reply) =>
        isUp() ? { status: 'up' as const } : reply.code(503).send({ status: 'down' as const }),
    );
  }
}
