import {
  createMergeRequest,
  createMigrationRequest,
  draftResponse,
  mergeQuery,
  mergeResponse,
  migrationQuery,
  migrationResponse,
  revertRequest,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import { problem } from '../../problem-error.js';
import type { MergeService } from '../../services/merges.js';
import type { MigrationService } from '../../services/migrations.js';
import type { App } from '../app.js';
import { toDraftResponse } from '../drafts/to-draft.js';
import { toMergeResponse } from './to-merge.js';

interface HistoryRoutesOptions {
  readonly merges: MergeService;
  readonly migrations: MigrationService;
}

const calibrationParams = z.object({ calibrationId: z.string() });
const revisionParams = z.object({ revisionId: z.string() });
const read = { access: 'calibration:read' } as const;
const write = { access: 'calibration:write' } as const;

/** Drafts that come of the history: lines merged, earlier content brought back, content brought to another layout. */
export function addHistoryRoutes(app: App, { merges, migrations }: HistoryRoutesOptions): void {
  app.get(
    '/calibrations/:calibrationId/merge',
    {
      config: read,
      schema: { params: calibrationParams, querystring: mergeQuery, response: { 200: mergeResponse } },
    },
    async (request) => {
      const { ours, theirs } = request.query;
      return toMergeResponse(merges.plan(request.params.calibrationId, ours, theirs));
    },
  );

  app.post(
    '/calibrations/:calibrationId/merge',
    {
      config: write,
      schema: { params: calibrationParams, body: createMergeRequest, response: { 201: draftResponse } },
    },
    (request, reply) => {
      reply.code(201);
      return toDraftResponse(merges.create(actorOf(request), request.params.calibrationId, request.body));
    },
  );

  app.post(
    '/revisions/:revisionId/revert',
    { config: write, schema: { params: revisionParams, body: revertRequest, response: { 201: draftResponse } } },
    (request, reply) => {
      reply.code(201);
      return toDraftResponse(merges.revert(actorOf(request), request.params.revisionId, request.body.onto));
    },
  );

  app.get(
    '/revisions/:revisionId/migration',
    {
      config: read,
      schema: { params: revisionParams, querystring: migrationQuery, response: { 200: migrationResponse } },
    },
    async (request) => {
      const { to, renames } = request.query;
      return migrations.plan(request.params.revisionId, to, renamesOf(renames));
    },
  );

  app.post(
    '/revisions/:revisionId/migration',
    {
      config: write,
      schema: { params: revisionParams, body: createMigrationRequest, response: { 201: draftResponse } },
    },
    (request, reply) => {
      reply.code(201);
      return toDraftResponse(migrations.create(actorOf(request), request.params.revisionId, request.body));
    },
  );
}

/** `old:new,old:new` as the query of an address holds it. */
function renamesOf(text = ''): Record<string, string> {
  const pairs = text.split(',').filter((pair) => pair !== '');
  return Object.fromEntries(
    pairs.map((pair) => {
      const parts = pair.split(':').map((part) => part.trim());
      if (parts.length !== 2 || parts.includes('')) {
        throw problem('request.invalid', {
          detail: `'${pair}' is no pair of table ids.`,
          fields: [{ path: 'querystring.renames', message: 'expected old:new, pairs separated by commas' }],
        });
      }
      return [parts[0], parts[1]];
    }),
  );
}
