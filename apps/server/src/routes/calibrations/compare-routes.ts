import {
  compareDetailQuery,
  compareDetailResponse,
  compareOutcomesResponse,
  compareOverlapResponse,
  compareQuery,
  compareSpreadsResponse,
  compareTableQuery,
  compareTablesResponse,
  tableDifference,
} from '@syncline/contract';
import type { ComparisonService } from '../../services/comparisons.js';
import { LOAD_BANDS } from '../../services/fleet.js';
import type { App } from '../app.js';
import { toComparedContent, toRevisionSummary, toTableDifference } from './to-revision.js';

const tables = { access: 'calibration:read' } as const;
const outcomes = { access: 'evidence:read' } as const;

/** Two revisions side by side: what was changed, and what came of it. */
export function addCompareRoutes(app: App, comparisons: ComparisonService): void {
  app.get(
    '/compare/tables',
    { config: tables, schema: { querystring: compareQuery, response: { 200: compareTablesResponse } } },
    async (request) => {
      const found = comparisons.tables(request.query.base, request.query.other);
      return { ...found, base: toComparedContent(found.base), other: toComparedContent(found.other) };
    },
  );

  app.get(
    '/compare/table',
    { config: tables, schema: { querystring: compareTableQuery, response: { 200: tableDifference } } },
    async (request) => {
      const { base, other, table, variant } = request.query;
      return toTableDifference(comparisons.table(base, other, { tableId: table, variant }));
    },
  );

  app.get(
    '/compare/outcomes',
    { config: outcomes, schema: { querystring: compareQuery, response: { 200: compareOutcomesResponse } } },
    async (request) => {
      const { base, other, ...found } = await comparisons.outcomes(request.query.base, request.query.other);
      return { ...found, base: toRevisionSummary(base), other: toRevisionSummary(other) };
    },
  );

  app.get(
    '/compare/outcomes/detail',
    { config: outcomes, schema: { querystring: compareDetailQuery, response: { 200: compareDetailResponse } } },
    async (request) => {
      const { base, other, measure } = request.query;
      const { byLoadBand, byVehicle, ...rest } = await comparisons.detail(base, other, measure);
      return {
        measure,
        ...rest,
        byLoadBand: byLoadBand.map((part) => ({ ...part, label: labelOf(part.loadBand) })),
        byVehicle: byVehicle.map(({ vehicleId, title, older, newer, difference, weight }) => ({
          vehicleId,
          title,
          baseEvents: older.events,
          baseShifts: older.shifts,
          otherEvents: newer.events,
          otherShifts: newer.shifts,
          difference,
          weight,
        })),
      };
    },
  );

  app.get(
    '/compare/outcomes/overlap',
    { config: outcomes, schema: { querystring: compareQuery, response: { 200: compareOverlapResponse } } },
    async (request) => {
      const { overlap, cells } = await comparisons.overlap(request.query.base, request.query.other);
      const used = new Set(cells.map(({ loadBand }) => loadBand));
      const loadBands = LOAD_BANDS.filter(({ index }) => used.has(index)).map(({ index, label }) => ({ index, label }));
      return { overlap, cells: [...cells], loadBands };
    },
  );

  app.get(
    '/compare/outcomes/spreads',
    { config: outcomes, schema: { querystring: compareQuery, response: { 200: compareSpreadsResponse } } },
    async (request) => ({ measures: await comparisons.spreads(request.query.base, request.query.other) }),
  );
}

function labelOf(loadBand: number): string {
  return LOAD_BANDS.find(({ index }) => index === loadBand)?.label ?? '';
}
