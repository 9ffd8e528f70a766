import { draftPreviewResponse } from '@syncline/contract';
import { z } from 'zod';
import type { DraftPreviewService } from '../../services/proposals/draft-previews.js';
import type { App } from '../app.js';
import { toDraftPreview } from './to-proposal.js';

const params = z.object({ draftId: z.string() });
const response = draftPreviewResponse;

/** A draft tried on simulated cars: asked for, and what came of it. */
export function addDraftPreviewRoutes(app: App, previews: DraftPreviewService): void {
  app.get(
    '/drafts/:draftId/preview',
    { config: { access: 'evidence:read' }, schema: { params, response: { 200: response } } },
    async (request) => toDraftPreview(previews.get(request.params.draftId)),
  );

  app.post(
    '/drafts/:draftId/preview',
    { config: { access: 'calibration:write' }, schema: { params, response: { 202: response } } },
    (request, reply) => {
      reply.code(202);
      return toDraftPreview(previews.request(request.params.draftId));
    },
  );
}
