import { Readable } from 'node:stream';
import {
  shiftDistributionQuery,
  shiftDistributionResponse,
  shiftFacetsResponse,
  shiftFilter,
  shiftListQuery,
  shiftPage,
  shiftRow,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { ShiftService } from '../../services/shifts.js';
import type { App } from '../app.js';
import { attachment, fileNameOf } from '../csv.js';
import { toPage } from '../format.js';
import { shiftCsv } from './shift-csv.js';
import { fromShiftFilter, toShiftRow } from './to-shift.js';

const access = 'own:log:read';

/** Shifts of all the cars that the caller may see. */
export function addShiftRoutes(app: App, shifts: ShiftService): void {
  app.get(
    '/shifts',
    { config: { access }, schema: { querystring: shiftListQuery, response: { 200: shiftPage } } },
    async (request) => {
      const { cursor, limit, sort, ...filter } = request.query;
      const query = { ...fromShiftFilter(filter), sort };
      return toPage(shifts.list(actorOf(request), query, { cursor, limit }), toShiftRow);
    },
  );

  app.get(
    '/shifts.csv',
    { config: { access }, schema: { querystring: shiftFilter, produces: ['text/csv'] } },
    async (request, reply) =>
      reply
        .type('text/csv; charset=utf-8')
        .header('content-disposition', attachment(fileNameOf('shifts', request.query)))
        .send(Readable.from(shiftCsv(shifts.readAll(actorOf(request), fromShiftFilter(request.query))))),
  );

  app.get(
    '/shifts/facets',
    { config: { access }, schema: { querystring: shiftFilter, response: { 200: shiftFacetsResponse } } },
    async (request) => {
      const { kinds, grades, programs, revisions, vehicles, ...found } = await shifts.facets(
        actorOf(request),
        fromShiftFilter(request.query),
      );
      const facets = { kinds: [...kinds], grades: [...grades], programs: [...programs] };
      return { ...found, ...facets, revisions: [...revisions], vehicles: [...vehicles] };
    },
  );

  app.get(
    '/shifts/distribution',
    {
      config: { access },
      schema: { querystring: shiftDistributionQuery, response: { 200: shiftDistributionResponse } },
    },
    async (request) => {
      const { quantity, ...filter } = request.query;
      const query = { ...fromShiftFilter(filter), quantity };
      const { edges, counts, ...found } = await shifts.distribution(actorOf(request), query);
      return { quantity, ...found, edges: [...edges], counts: [...counts] };
    },
  );

  app.get(
    '/shifts/:shiftId',
    { config: { access }, schema: { params: z.object({ shiftId: z.string() }), response: { 200: shiftRow } } },
    async (request) => toShiftRow(shifts.get(actorOf(request), request.params.shiftId)),
  );
}
