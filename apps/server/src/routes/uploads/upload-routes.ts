import {
  knownLogsRequest,
  knownLogsResponse,
  uploadListQuery,
  upload as uploadSchema,
  uploadsResponse,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { ResumableUploadService } from '../../services/resumable-uploads.js';
import type { UploadService } from '../../services/uploads.js';
import type { App } from '../app.js';
import { toUpload } from './to-upload.js';

const uploadParams = z.object({ uploadId: z.string() });

/** What a sender of drive logs asks about them: which are known, which are unfinished, what has become of one. */
export function addUploadRoutes(
  app: App,
  { uploads, resumable }: { readonly uploads: UploadService; readonly resumable: ResumableUploadService },
): void {
  app.post(
    '/uploads/known',
    {
      config: { access: 'own:log:read' },
      schema: { body: knownLogsRequest, response: { 200: knownLogsResponse } },
    },
    (request) => {
      const { vehicle, sha256 } = request.body;
      const known = uploads.findKnown(actorOf(request), vehicle, sha256);
      return { items: known.map((log) => ({ sha256: log.sha256, logId: log.id, fileName: log.fileName })) };
    },
  );

  app.get(
    '/uploads',
    {
      config: { access: 'own:log:write' },
      schema: { querystring: uploadListQuery, response: { 200: uploadsResponse } },
    },
    async (request) => {
      const { items, room } = resumable.list(actorOf(request), request.query.vehicle);
      return { items: items.map((upload) => toUpload(upload, resumable)), room };
    },
  );

  app.get(
    '/uploads/:uploadId',
    {
      config: { access: 'own:log:write' },
      schema: { params: uploadParams, response: { 200: uploadSchema } },
      // The protocol's own HEAD of this address says the offset.
      exposeHeadRoute: false,
    },
    async (request) => toUpload(resumable.get(actorOf(request), request.params.uploadId), resumable),
  );
}
