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
import { apiUrl, send } from './client.js';
import { resource } from './resource.js';

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
      ...resource('/calibrations', calibrationPage, { limit: 200 }),
    }),
  one: (calibrationId: string) =>
    queryOptions({
      queryKey: ['calibrations', 'one', calibrationId],
      ...resource(calibrationPath(calibrationId), calibrationResponse),
    }),
  revision: (revisionId: string) =>
    queryOptions({
      queryKey: ['calibrations', 'revision', revisionId],
      ...resource(revisionPath(revisionId), revisionResponse),
    }),
  evidence: (revisionId: string, table: string, variant: string) =>
    queryOptions({
      queryKey: ['calibrations', 'evidence', revisionId, table, variant],
      ...resource(`${revisionPath(revisionId)}/evidence`, evidenceResponse, { table, variant }),
      placeholderData: keepPreviousData,
    }),
  /** Of a revision, or of a draft as it was last saved. What a revision commands never changes. */
  commandedMap: (key: string, query: CommandedMapQuery) =>
    queryOptions({
      queryKey: ['calibrations', 'commandedMap', key, query],
      staleTime: freshness(key),
      ...resource(`${contentPath(key)}/commanded`, commandedMapResponse, query as Record<string, string>),
      placeholderData: keepPreviousData,
    }),
  commandedPoint: (revisionId: string, query: CommandedPointQuery) =>
    queryOptions({
      queryKey: ['calibrations', 'commandedPoint', revisionId, query],
      staleTime: IMMUTABLE,
      ...resource(
        `${revisionPath(revisionId)}/commanded-point`,
        commandedPointResponse,
        query as Record<string, string>,
      ),
      placeholderData: keepPreviousData,
    }),
  compareTables: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareTables', base, other],
      staleTime: freshness(base, other),
      ...resource('/compare/tables', compareTablesResponse, { base, other }),
    }),
  /** One variant of one table, cell by cell. */
  compareTable: (base: string, other: string, table: string, variant: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareTable', base, other, table, variant],
      staleTime: freshness(base, other),
      ...resource('/compare/table', tableDifference, { base, other, table, variant }),
      placeholderData: keepPreviousData,
    }),
  compareOutcomes: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareOutcomes', base, other],
      ...resource('/compare/outcomes', compareOutcomesResponse, { base, other }),
    }),
  /** One measure taken apart: by shift, by load, by car. */
  compareDetail: (base: string, other: string, measure: OutcomeMeasure) =>
    queryOptions({
      queryKey: ['calibrations', 'compareDetail', base, other, measure],
      ...resource('/compare/outcomes/detail', compareDetailResponse, { base, other, measure }),
      placeholderData: keepPreviousData,
    }),
  compareOverlap: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareOverlap', base, other],
      ...resource('/compare/outcomes/overlap', compareOverlapResponse, { base, other }),
    }),
  compareSpreads: (base: string, other: string) =>
    queryOptions({
      queryKey: ['calibrations', 'compareSpreads', base, other],
      ...resource('/compare/outcomes/spreads', compareSpreadsResponse, { base, other }),
    }),
};

/** What a revision says of itself that another program can check. */
export const signatureQueries = {
  one: (revisionId: string) =>
    queryOptions({
      queryKey: ['calibrations', 'signature', revisionId],
      staleTime: IMMUTABLE,
      ...resource(`${revisionPath(revisionId)}/signature`, signatureResponse),
    }),
  key: () =>
    queryOptions({
      queryKey: ['calibrations', 'signingKey'],
      staleTime: 60 * 60_000,
      ...resource('/signing-key', signingKeyResponse),
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
    ...resource(`${revisionPath(revisionId)}/schedule-replay`, scheduleReplayResponse, { ...question }),
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
