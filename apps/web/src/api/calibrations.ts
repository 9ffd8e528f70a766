import {
  calibrationPage,
  calibrationResponse,
  type commandedMapQuery,
  commandedMapResponse,
  type commandedPointQuery,
  commandedPointResponse,
  compareDetailResponse,
  compareOutcomesResponse,
  compareOverlapResponse,
  compareSpreadsResponse,
  compareTablesResponse,
  type createCalibrationRequest,
  evidenceResponse,
  type OutcomeMeasure,
  revisionResponse,
  scheduleReplayResponse,
  signatureResponse,
  signingKeyResponse,
  tableDifference,
} from '@syncline/contract';
import { keepPreviousData, queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { apiUrl, get, send } from './client.js';

type CommandedMapQuery = z.input<typeof commandedMapQuery>;
type CommandedPointQuery = z.input<typeof commandedPointQuery>;
const IMMUTABLE = Number.POSITIVE_INFINITY;
const calibrationPath = (id: string) => `/calibrations/${encodeURIComponent(id)}`;
const revisionPath = (id: string) => `/revisions/${encodeURIComponent(id)}`;

/** Drafts stand beside revisions in an address as `draft:<id>`; unlike these they change. */
const DRAFT_MARK = 'draft:';
const isDraft = (key: string) => key.startsWith(DRAFT_MARK);
const contentPath = (key: string) =>
  isDraft(key) ? `/drafts/${encodeURIComponent(key.slice(DRAFT_MARK.length))}` : revisionPath(key);
const freshness = (...keys: readonly string[]) => (keys.some(isDraft) ? 0 : IMMUTABLE);

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
  /** Of a revision, or of a draft as it was last saved. What a revision commands never changes. */
  commandedMap: (key: string, query: CommandedMapQuery) =>
    queryOptions({
      queryKey: ['calibrations', 'commandedMap', key, query],
      staleTime: freshness(key),
      queryFn: ({ signal }) =>
        get(`${contentPath(key)}/commanded`, commandedMapResponse, {
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
      staleTime: freshness(base, other),
      queryFn: ({ signal }) => get('/compare/tables', compareTablesResponse, { query: { base, other }, signal }),
    }),
  /** One variant of one table, cell by cell. */
  compareTable: (base: string, other: string, table: string, variant: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareTable', base, other, table, variant],
      staleTime: freshness(base, other),
      queryFn: ({ signal }) =>
        get('/compare/table', tableDifference, { query: { base, other, table, variant }, signal }),
      placeholderData: keepPreviousData,
    }),
  compareOutcomes: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareOutcomes', base, other],
      queryFn: ({ signal }) => get('/compare/outcomes', compareOutcomesResponse, { query: { base, other }, signal }),
    }),
  /** One measure taken apart: by shift, by load, by car. */
  compareDetail: (base: string, other: string, measure: OutcomeMeasure) =>
    queryOptions({
      queryKey: ['calibrations', 'compareDetail', base, other, measure],
      queryFn: ({ signal }) =>
        get('/compare/outcomes/detail', compareDetailResponse, { query: { base, other, measure }, signal }),
      placeholderData: keepPreviousData,
    }),
  compareOverlap: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareOverlap', base, other],
      queryFn: ({ signal }) =>
        get('/compare/outcomes/overlap', compareOverlapResponse, { query: { base, other }, signal }),
    }),
  compareSpreads: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareSpreads', base, other],
      queryFn: ({ signal }) =>
        get('/compare/outcomes/spreads', compareSpreadsResponse, { query: { base, other }, signal }),
    }),
};

/** What a revision says of itself that another program can check. */
export const signatureQueries = {
  one: (revisionId: string) =>
    queryOptions({
      queryKey: ['calibrations', 'signature', revisionId],
      staleTime: IMMUTABLE,
      queryFn: ({ signal }) => get(`${revisionPath(revisionId)}/signature`, signatureResponse, { signal }),
    }),
  key: () =>
    queryOptions({
      queryKey: ['calibrations', 'signingKey'],
      staleTime: 60 * 60_000,
      queryFn: ({ signal }) => get('/signing-key', signingKeyResponse, { signal }),
    }),
};

interface ReplayQuestion {
  readonly log: string;
  readonly schedule: string;
  readonly against?: string | undefined;
}

/** A schedule of a revision driven over a recorded drive. */
export function scheduleReplayQuery(revisionId: string, question: ReplayQuestion) {
  return queryOptions({
    queryKey: ['calibrations', 'scheduleReplay', revisionId, question],
    queryFn: ({ signal }) =>
      get(`${revisionPath(revisionId)}/schedule-replay`, scheduleReplayResponse, { query: { ...question }, signal }),
  });
}

/** Address of a revision as a file in one of the formats of `EXPORT_FORMATS`. */
export function revisionExportUrl(revisionId: string, format: string): string {
  return apiUrl(`${revisionPath(revisionId)}/export`, { format });
}

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
