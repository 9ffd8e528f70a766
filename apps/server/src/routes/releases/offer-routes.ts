import { answerOfferRequest, offerDownloadQuery, offerResponse } from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { OfferService } from '../../services/releases/offers.js';
import type { App } from '../app.js';
import { attachment } from '../csv.js';
import { toOffer } from './to-release.js';

const vehicleParams = z.object({ vehicleId: z.string() });

/** What a car is offered, and the one way that content leaves for a tester. */
export function addOfferRoutes(app: App, offers: OfferService): void {
  app.get(
    '/vehicles/:vehicleId/offer',
    { config: { access: 'own:vehicle:read' }, schema: { params: vehicleParams, response: { 200: offerResponse } } },
    async (request) => toOffer(offers.get(actorOf(request), request.params.vehicleId)),
  );

  app.get(
    '/vehicles/:vehicleId/offer/download',
    {
      config: { access: 'own:offer:download' },
      schema: {
        params: vehicleParams,
        querystring: offerDownloadQuery,
        produces: [
          'application/json',
          'text/csv',
          'text/tab-separated-values',
          'text/plain',
          'application/octet-stream',
        ],
      },
    },
    async (request, reply) => {
      const file = offers.download(actorOf(request), request.params.vehicleId, request.query.format);
      // Each download is asked for and recorded anew: no cache in between may answer it.
      return reply
        .header('cache-control', 'no-store')
        .header('x-content-sha256', file.sha256)
        .header('syncline-content-hash', file.contentHash)
        .header('syncline-signature', `ed25519=${file.signature}`)
        .header('syncline-key', file.keyId)
        .header('content-disposition', attachment(file.fileName))
        .type(file.mediaType)
        .send(file.bytes);
    },
  );

  app.post(
    '/vehicles/:vehicleId/offer/answer',
    {
      config: { access: 'own:vehicle:write' },
      schema: { params: vehicleParams, body: answerOfferRequest, response: { 200: offerResponse } },
    },
    (request) => {
      const { at, ...answer } = request.body;
      const atMs = at === undefined ? undefined : Date.parse(at);
      return toOffer(offers.answer(actorOf(request), request.params.vehicleId, { ...answer, atMs }));
    },
  );
}
