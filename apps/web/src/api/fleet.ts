import {
  cohortsResponse,
  coverageResponse,
  fleetVehiclesResponse,
  matricesResponse,
  matrixResponse,
  type OutcomeMeasure,
  overviewResponse,
  type SpreadMeasure,
  spreadResponse,
  trendResponse,
} from '@syncline/contract';
import { keepPreviousData, type Query, queryOptions } from '@tanstack/react-query';
import { apiUrl } from './client.js';
import { resource } from './resource.js';

export interface FleetFilter {
  platform: string;
  revision?: string | undefined;
  program?: string | undefined;
  fluidTemperatureBand?: number | undefined;
  dialect?: string | undefined;
  engine?: string | undefined;
}
type RateFilter = FleetFilter & { measure: OutcomeMeasure };
/** Programs are not told apart in spreads. */
type SpreadFilter = Omit<FleetFilter, 'program'> & { measure: SpreadMeasure };

/** What the parts of a page are drawn with, one after the other, is of one visit (ms). */
const SAME_VISIT_MS = 2000;

/**
 * Figures do not change under the pointer: new driving offers itself by the overview, and a press asks again. Whoever
 * comes to the page, from a drive just uploaded for instance, gets the figures of now.
 */
const STILL = {
  refetchOnWindowFocus: false,
  refetchOnMount: ({ state }: Pick<Query, 'state'>) =>
    Date.now() - state.dataUpdatedAt > SAME_VISIT_MS ? ('always' as const) : false,
};

export const fleetQueries = {
  overview: (platform: string) =>
    queryOptions({
      queryKey: ['fleet', 'overview', platform],
      refetchInterval: 15_000,
      ...resource('/fleet/overview', overviewResponse, { platform }),
    }),
  matrix: (filter: RateFilter) =>
    queryOptions({
      queryKey: ['fleet', 'matrix', filter],
      ...STILL,
      ...resource('/fleet/matrix', matrixResponse, { ...filter }),
      placeholderData: keepPreviousData,
    }),
  /** The same for every fluid temperature band, side by side. */
  matrices: (filter: Omit<RateFilter, 'fluidTemperatureBand'>) =>
    queryOptions({
      queryKey: ['fleet', 'matrices', filter],
      ...STILL,
      ...resource('/fleet/matrices', matricesResponse, { ...filter }),
      placeholderData: keepPreviousData,
    }),
  spread: (filter: SpreadFilter) =>
    queryOptions({
      queryKey: ['fleet', 'spread', filter],
      ...STILL,
      ...resource('/fleet/spread', spreadResponse, { ...filter }),
      placeholderData: keepPreviousData,
    }),
  /** What the cohort filters can be set to. */
  cohorts: (platform: string) =>
    queryOptions({
      queryKey: ['fleet', 'cohorts', platform],
      staleTime: 60_000,
      ...resource('/fleet/cohorts', cohortsResponse, { platform }),
    }),
  trend: (filter: Omit<FleetFilter, 'revision'>) =>
    queryOptions({
      queryKey: ['fleet', 'trend', filter],
      ...STILL,
      ...resource('/fleet/trend', trendResponse, { ...filter }),
      placeholderData: keepPreviousData,
    }),
  vehicles: (filter: RateFilter) =>
    queryOptions({
      queryKey: ['fleet', 'vehicles', filter],
      ...STILL,
      ...resource('/fleet/vehicles', fleetVehiclesResponse, { ...filter }),
      placeholderData: keepPreviousData,
    }),
  coverage: (filter: FleetFilter) =>
    queryOptions({
      queryKey: ['fleet', 'coverage', filter],
      ...STILL,
      ...resource('/fleet/coverage', coverageResponse, { ...filter }),
      placeholderData: keepPreviousData,
    }),
};

export function matrixCsvUrl(filter: RateFilter): string {
  return apiUrl('/fleet/matrix.csv', { ...filter });
}

export function spreadCsvUrl(filter: SpreadFilter): string {
  return apiUrl('/fleet/spread.csv', { ...filter });
}
