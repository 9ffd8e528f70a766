import {
  coverageResponse,
  fleetVehiclesResponse,
  matrixResponse,
  type OutcomeMeasure,
  overviewResponse,
  trendResponse,
} from '@syncline/contract';
import { keepPreviousData, queryOptions } from '@tanstack/react-query';
import { apiUrl, get } from './client.js';

export interface FleetFilter {
  platform: string;
  revision?: string | undefined;
  program?: string | undefined;
  fluidTemperatureBand?: number | undefined;
}
type MeasuredFilter = FleetFilter & { measure: OutcomeMeasure };

/**
 * Figures do not change under the pointer: new driving offers itself by the overview, and a press asks again. Whoever
 * comes to the page, from a drive just uploaded for instance, gets the figures of now.
 */
const STILL = { refetchOnWindowFocus: false, refetchOnMount: 'always' } as const;

export const fleetQueries = {
  overview: (platform: string) =>
    queryOptions({
      queryKey: ['fleet', 'overview', platform],
      refetchInterval: 15_000,
      queryFn: ({ signal }) => get('/fleet/overview', overviewResponse, { query: { platform }, signal }),
    }),
  matrix: (filter: MeasuredFilter) =>
    queryOptions({
      queryKey: ['fleet', 'matrix', filter],
      ...STILL,
      queryFn: ({ signal }) => get('/fleet/matrix', matrixResponse, { query: { ...filter }, signal }),
      placeholderData: keepPreviousData,
    }),
  trend: (platform: string) =>
    queryOptions({
      queryKey: ['fleet', 'trend', platform],
      ...STILL,
      queryFn: ({ signal }) => get('/fleet/trend', trendResponse, { query: { platform }, signal }),
    }),
  vehicles: (filter: MeasuredFilter) =>
    queryOptions({
      queryKey: ['fleet', 'vehicles', filter],
      ...STILL,
      queryFn: ({ signal }) => get('/fleet/vehicles', fleetVehiclesResponse, { query: { ...filter }, signal }),
      placeholderData: keepPreviousData,
    }),
  coverage: (filter: FleetFilter) =>
    queryOptions({
      queryKey: ['fleet', 'coverage', filter],
      ...STILL,
      queryFn: ({ signal }) => get('/fleet/coverage', coverageResponse, { query: { ...filter }, signal }),
    }),
};

export function matrixCsvUrl(filter: MeasuredFilter): string {
  return apiUrl('/fleet/matrix.csv', { ...filter });
}
