import { layoutResponse, platformPage, platformResponse } from '@syncline/contract';
import { queryOptions } from '@tanstack/react-query';
import { get } from './client.js';

export const platformQueries = {
  list: () =>
    queryOptions({
      queryKey: ['platforms', 'list'],
      staleTime: 5 * 60_000,
      queryFn: ({ signal }) => get('/platforms', platformPage, { query: { limit: 200 }, signal }),
    }),
  one: (platformId: string) =>
    queryOptions({
      queryKey: ['platforms', 'one', platformId],
      staleTime: 5 * 60_000,
      queryFn: ({ signal }) => get(`/platforms/${encodeURIComponent(platformId)}`, platformResponse, { signal }),
    }),
  layout: (platformId: string, version: number) =>
    queryOptions({
      queryKey: ['platforms', 'layout', platformId, version],
      staleTime: Number.POSITIVE_INFINITY,
      queryFn: ({ signal }) =>
        get(`/platforms/${encodeURIComponent(platformId)}/layouts/${version}`, layoutResponse, { signal }),
    }),
};
