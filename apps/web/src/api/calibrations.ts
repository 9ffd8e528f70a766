import {
  calibrationPage,
  calibrationResponse,
  type commandedMapQuery,
  commandedMapResponse,
  type commandedPointQuery,
  commandedPointResponse,
  compareOutcomesResponse,
  compareTablesResponse,
  type createCalibrationRequest,
  type createRevisionRequest,
  evidenceResponse,
  revisionResponse,
} from '@syncline/contract';
import { keepPreviousData, queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { apiUrl, get, send } from './client.js';

type CommandedMapQuery = z.input<typeof commandedMapQuery>;
type CommandedPointQuery = z.input<typeof commandedPointQuery>;
const IMMUTABLE = Number.POSITIVE_INFINITY;
const calibrationPath = (id: string) => `/calibrations/${encodeURIComponent(id)}`;
const revisionPath = (id: string) => `/revisions/${encodeURIComponent(id)}`;

export const calibrationQueries = {
  list: () =>
    queryOptions({
      queryKey: ['calibrations', 'list'],
      queryFn: ({ signal }) => get('/calibrations', calibrationPage, { query: { limit: 200 }, signal }),
    }),
  one: (calibrationId: string) =>
    queryOptions({
      queryKey: ['calibrations', 'one', calibrationId],
      queryFn: ({ signal }) => get(calibrationPath(calibrationId), calibrationResponse, { signal }),
    }),
  revision: (revisionId: string) =>
    queryOptions({
      queryKey: ['calibrations', 'revision', revisionId],
      queryFn: ({ signal }) => get(revisionPath(revisionId), revisionResponse, { signal }),
    }),
  evidence: (revisionId: string, table: string, variant: string) =>
    queryOptions({
      queryKey: ['calibrations', 'evidence', revisionId, table, variant],
      queryFn: ({ signal }) =>
        get(`${revisionPath(revisionId)}/evidence`, evidenceResponse, { query: { table, variant }, signal }),
      placeholderData: keepPreviousData,
    }),
  /** Content of a revision never changes, so neither does what it commands. */
  commandedMap: (revisionId: string, query: CommandedMapQuery) =>
    queryOptions({
      queryKey: ['calibrations', 'commandedMap', revisionId, query],
      staleTime: IMMUTABLE,
      queryFn: ({ signal }) =>
        get(`${revisionPath(revisionId)}/commanded`, commandedMapResponse, {
          query: query as Record<string, string>,
          signal,
        }),
      placeholderData: keepPreviousData,
    }),
  commandedPoint: (revisionId: string, query: CommandedPointQuery) =>
    queryOptions({
      queryKey: ['calibrations', 'commandedPoint', revisionId, query],
      staleTime: IMMUTABLE,
      queryFn: ({ signal }) =>
        get(`${revisionPath(revisionId)}/commanded-point`, commandedPointResponse, {
          query: query as Record<string, string>,
          signal,
        }),
      placeholderData: keepPreviousData,
    }),
  compareTables: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareTables', base, other],
      staleTime: IMMUTABLE,
      queryFn: ({ signal }) => get('/compare/tables', compareTablesResponse, { query: { base, other }, signal }),
    }),
  compareOutcomes: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareOutcomes', base, other],
      queryFn: ({ signal }) => get('/compare/outcomes', compareOutcomesResponse, { query: { base, other }, signal }),
    }),
};

/** Address of the canonical JSON of a revision's content, the bytes that its hash is made of. */
export function revisionContentUrl(revisionId: string): string {
  return apiUrl(`${revisionPath(revisionId)}/content`);
}

export function useCreateCalibration() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (body: z.input<typeof createCalibrationRequest>) =>
      send('POST', '/calibrations', { body, schema: calibrationResponse }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['calibrations'] }),
  });
}

export function useCreateRevision(calibrationId: string) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (body: z.input<typeof createRevisionRequest>) =>
      send('POST', `${calibrationPath(calibrationId)}/revisions`, { body, schema: revisionResponse }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['calibrations'] }),
  });
}
