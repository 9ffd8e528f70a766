import {
  type Band,
  cohortsResponse,
  coverageResponse,
  firstMatrixQuery,
  fleetFilter,
  fleetVehiclesResponse,
  matricesResponse,
  matrixQuery,
  matrixResponse,
  overviewResponse,
  spreadQuery,
  spreadResponse,
  trendResponse,
} from '@syncline/contract';
import { UNKNOWN_BAND } from '@syncline/fleet';
import type { FleetFilter } from '@syncline/store';
import type { FastifyRequest } from 'fastify';
import type { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import { FLUID_TEMPERATURE_BANDS, type FleetService, LOAD_BANDS } from '../../services/fleet.js';
import type { App } from '../app.js';
import { attachment, fileNameOf } from '../csv.js';
import { toInstant, toRevisionLabel } from '../format.js';
import { matrixCsv } from './matrix-csv.js';
import { spreadCsv } from './spread-csv.js';

const access = 'fleet:read';
const cohortQuery = fleetFilter.pick({ platform: true, dialect: true, engine: true });
const trendQuery = fleetFilter.omit({ revision: true });
const matricesQuery = matrixQuery.omit({ fluidTemperatureBand: true });

/** What the whole fleet shows. Aggregates only: no car but the caller's own is named to a tester. */
export function addFleetRoutes(app: App, fleet: FleetService): void {
  const asked = (request: FastifyRequest, filter: Filter) => fleet.filterFor(actorOf(request), fromFilter(filter));

  app.get(
    '/fleet/overview',
    { config: { access }, schema: { querystring: cohortQuery, response: { 200: overviewResponse } } },
    async (request) => fleet.overview(asked(request, request.query)),
  );

  app.get(
    '/fleet/cohorts',
    {
      config: { access },
      schema: { querystring: fleetFilter.pick({ platform: true }), response: { 200: cohortsResponse } },
    },
    async (request) => fleet.cohorts(actorOf(request), request.query.platform),
  );

  app.get(
    '/fleet/matrix',
    { config: { access }, schema: { querystring: firstMatrixQuery, response: { 200: matrixResponse } } },
    async (request) => {
      const { measure, platform = fleet.firstPlatform(), ...filter } = request.query;
      const matrix = await fleet.matrix(asked(request, { ...filter, platform }), measure);
      return {
        measure,
        loadBands: usedLoadBands([matrix]),
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
        .send(matrixCsv(measure, await fleet.matrix(asked(request, filter), measure)));
    },
  );

  app.get(
    '/fleet/matrices',
    { config: { access }, schema: { querystring: matricesQuery, response: { 200: matricesResponse } } },
    async (request) => {
      const { measure, ...filter } = request.query;
      const panels = await fleet.matrices(asked(request, filter), measure);
      return {
        measure,
        loadBands: usedLoadBands(panels),
        panels: panels.map(({ fluidTemperatureBand, ...panel }) => ({
          ...panel,
          fluidTemperatureBand: temperatureBandOf(fluidTemperatureBand),
        })),
      };
    },
  );

  app.get(
    '/fleet/spread',
    { config: { access }, schema: { querystring: spreadQuery, response: { 200: spreadResponse } } },
    async (request) => {
      const { measure, ...filter } = request.query;
      const found = await fleet.spread({ ...asked(request, filter), measure });
      return {
        measure,
        loadBands: usedLoadBands([found]),
        rows: found.rows.map((row) => ({ ...row, cells: [...row.cells] })),
        total: found.total,
      };
    },
  );

  app.get(
    '/fleet/spread.csv',
    { config: { access }, schema: { querystring: spreadQuery, produces: ['text/csv'] } },
    async (request, reply) => {
      const { measure, ...filter } = request.query;
      const found = await fleet.spread({ ...asked(request, filter), measure });
      return reply
        .type('text/csv; charset=utf-8')
        .header('content-disposition', attachment(fileNameOf('fleet spread', request.query)))
        .send(spreadCsv(measure, found));
    },
  );

  app.get(
    '/fleet/trend',
    { config: { access }, schema: { querystring: trendQuery, response: { 200: trendResponse } } },
    async (request) => ({
      points: (await fleet.trend(asked(request, request.query))).map(
        ({ revisionId, calibrationTitle, number, createdAtMs, ...rest }) => ({
          revisionId,
          number,
          label: toRevisionLabel({ id: revisionId, calibrationTitle, number }),
          createdAt: toInstant(createdAtMs),
          ...rest,
        }),
      ),
    }),
  );

  app.get(
    '/fleet/vehicles',
    { config: { access }, schema: { querystring: matrixQuery, response: { 200: fleetVehiclesResponse } } },
    async (request) => {
      const { measure, ...filter } = request.query;
      return fleet.vehicles(actorOf(request), asked(request, filter), measure);
    },
  );

  app.get(
    '/fleet/coverage',
    { config: { access }, schema: { querystring: fleetFilter, response: { 200: coverageResponse } } },
    async (request) => ({
      ...(await fleet.coverage(asked(request, request.query))),
      loadBands: LOAD_BANDS.filter(isKnown),
      fluidTemperatureBands: [...KNOWN_TEMPERATURE_BANDS],
    }),
  );
}

const isKnown = (band: Band) => band.index !== UNKNOWN_BAND;
const KNOWN_TEMPERATURE_BANDS = FLUID_TEMPERATURE_BANDS.filter(isKnown);

function temperatureBandOf(index: number): Band {
  return FLUID_TEMPERATURE_BANDS.find((band) => band.index === index) ?? FLUID_TEMPERATURE_BANDS[0];
}

interface BandedRows {
  readonly rows: readonly { readonly cells: readonly { readonly loadBand: number }[] }[];
}

/** The columns of matrices. Load that was not logged has one only where there is such driving. */
function usedLoadBands(matrices: readonly BandedRows[]): Band[] {
  const cells = matrices.flatMap(({ rows }) => rows.flatMap((row) => row.cells));
  const used = new Set(cells.map(({ loadBand }) => loadBand));
  return LOAD_BANDS.filter((band) => isKnown(band) || used.has(band.index));
}

type Filter = z.infer<typeof fleetFilter>;

function fromFilter({ platform, revision, ...rest }: Filter): FleetFilter {
  const { program, fluidTemperatureBand, dialect, engine } = rest;
  return { platformId: platform, revisionId: revision, program, fluidTemperatureBand, dialect, engine };
}
