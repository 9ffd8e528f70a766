import {
  type Band,
  coverageResponse,
  fleetFilter,
  fleetVehiclesResponse,
  matrixQuery,
  matrixResponse,
  overviewResponse,
  trendResponse,
} from '@syncline/contract';
import { UNKNOWN_BAND } from '@syncline/fleet';
import type { FleetFilter } from '@syncline/store';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import { FLUID_TEMPERATURE_BANDS, type FleetMatrix, type FleetService, LOAD_BANDS } from '../../services/fleet.js';
import type { App } from '../app.js';
import { attachment, fileNameOf } from '../csv.js';
import { toInstant, toRevisionLabel } from '../format.js';
import { matrixCsv } from './matrix-csv.js';

const access = 'fleet:read';
const platformQuery = fleetFilter.pick({ platform: true });

/** What the whole fleet shows. Aggregates only: no car but the caller's own is named to a tester. */
export function addFleetRoutes(app: App, fleet: FleetService): void {
  app.get(
    '/fleet/overview',
    { config: { access }, schema: { querystring: platformQuery, response: { 200: overviewResponse } } },
    async (request) => fleet.overview(request.query.platform),
  );

  app.get(
    '/fleet/matrix',
    { config: { access }, schema: { querystring: matrixQuery, response: { 200: matrixResponse } } },
    async (request) => {
      const { measure, ...filter } = request.query;
      const matrix = fleet.matrix(fromFilter(filter), measure);
      return {
        measure,
        loadBands: usedLoadBands(matrix),
        fluidTemperatureBands: [...KNOWN_TEMPERATURE_BANDS],
        ...matrix,
      };
    },
  );

  app.get(
    '/fleet/matrix.csv',
    { config: { access }, schema: { querystring: matrixQuery, produces: ['text/csv'] } },
    async (request, reply) => {
      const { measure, ...filter } = request.query;
      return reply
        .type('text/csv; charset=utf-8')
        .header('content-disposition', attachment(fileNameOf('fleet matrix', request.query)))
        .send(matrixCsv(measure, fleet.matrix(fromFilter(filter), measure)));
    },
  );

  app.get(
    '/fleet/trend',
    { config: { access }, schema: { querystring: platformQuery, response: { 200: trendResponse } } },
    async (request) => ({
      points: fleet
        .trend(request.query.platform)
        .map(({ revisionId, calibrationTitle, number, createdAtMs, ...rest }) => ({
          revisionId,
          number,
          label: toRevisionLabel({ id: revisionId, calibrationTitle, number }),
          createdAt: toInstant(createdAtMs),
          ...rest,
        })),
    }),
  );

  app.get(
    '/fleet/vehicles',
    { config: { access }, schema: { querystring: matrixQuery, response: { 200: fleetVehiclesResponse } } },
    async (request) => {
      const { measure, ...filter } = request.query;
      return fleet.vehicles(actorOf(request), fromFilter(filter), measure);
    },
  );

  app.get(
    '/fleet/coverage',
    { config: { access }, schema: { querystring: fleetFilter, response: { 200: coverageResponse } } },
    async (request) => ({
      ...fleet.coverage(fromFilter(request.query)),
      loadBands: LOAD_BANDS.filter(isKnown),
      fluidTemperatureBands: [...KNOWN_TEMPERATURE_BANDS],
    }),
  );
}

const isKnown = (band: Band) => band.index !== UNKNOWN_BAND;
const KNOWN_TEMPERATURE_BANDS = FLUID_TEMPERATURE_BANDS.filter(isKnown);

/** The columns of the matrix. Load that was not logged has one only where there is such driving. */
function usedLoadBands({ rows }: FleetMatrix): Band[] {
  const used = new Set(rows.flatMap((row) => row.cells.map((cell) => cell.loadBand)));
  return LOAD_BANDS.filter((band) => isKnown(band) || used.has(band.index));
}

function fromFilter({ platform, revision, program, fluidTemperatureBand }: z.infer<typeof fleetFilter>): FleetFilter {
  return { platformId: platform, revisionId: revision, program, fluidTemperatureBand };
}
