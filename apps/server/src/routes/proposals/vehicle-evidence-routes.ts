import type * as Contract from '@syncline/contract';
import { adaptation, adaptationsResponse, createAdaptationRequest, vehicleTrimsResponse } from '@syncline/contract';
import type { Adaptation } from '@syncline/store';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { ProposalService } from '../../services/proposals/proposals.js';
import type { App } from '../app.js';
import { toInstant, toRevisionLabel } from '../format.js';
import { toVehicleTrim } from './to-proposal.js';

const params = z.object({ vehicleId: z.string() });

/** What belongs to one car and not to the map: its trims, and what its control unit has learnt. */
export function addVehicleEvidenceRoutes(app: App, proposals: ProposalService): void {
  app.get(
    '/vehicles/:vehicleId/trims',
    { config: { access: 'own:vehicle:read' }, schema: { params, response: { 200: vehicleTrimsResponse } } },
    async (request) => {
      const { vehicleId } = request.params;
      const items = proposals.trims(actorOf(request), vehicleId).map((own) => ({
        ...toVehicleTrim(own),
        proposalId: own.proposalId,
        subject: proposals.subjectOf(own),
        baseRevisionId: own.base.id,
        baseRevisionLabel: toRevisionLabel(own.base),
        madeAt: toInstant(own.madeAtMs),
        vehicleSd: own.vehicleSd,
        vehicleShiftSd: own.vehicleShiftSd,
        fleetVehicles: own.fleetVehicles,
      }));
      return { vehicleId, items };
    },
  );

  app.get(
    '/vehicles/:vehicleId/adaptations',
    { config: { access: 'own:vehicle:read' }, schema: { params, response: { 200: adaptationsResponse } } },
    async (request) => ({
      items: proposals.adaptations(actorOf(request), request.params.vehicleId).map(toAdaptation),
    }),
  );

  app.post(
    '/vehicles/:vehicleId/adaptations',
    {
      config: { access: 'own:vehicle:write' },
      schema: { params, body: createAdaptationRequest, response: { 201: adaptation } },
    },
    (request, reply) => {
      reply.code(201);
      return toAdaptation(proposals.addAdaptation(actorOf(request), request.params.vehicleId, request.body));
    },
  );
}

function toAdaptation({
  id,
  vehicleId,
  revision,
  note,
  worthShifts,
  values,
  byName,
  ...at
}: Adaptation): Contract.Adaptation {
  return {
    id,
    vehicleId,
    revisionId: revision.id,
    revisionLabel: toRevisionLabel(revision),
    readAt: toInstant(at.readAtMs),
    note,
    worthShifts,
    values: [...values],
    byName,
    createdAt: toInstant(at.createdAtMs),
  };
}
