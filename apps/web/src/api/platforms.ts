import {
  type addDialectRequest,
  busSignalsResponse,
  type DialectProfileResponse,
  dialectProfileResponse,
  layoutResponse,
  platformCapturesResponse,
  platformPage,
  platformResponse,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { send } from './client.js';
import { resource } from './resource.js';

const platformPath = (platformId: string) => `/platforms/${encodeURIComponent(platformId)}`;
const dialectPath = (platformId: string, dialectId: string) =>
  `${platformPath(platformId)}/dialects/${encodeURIComponent(dialectId)}`;

export const platformQueries = {
  list: () =>
    queryOptions({
      queryKey: ['platforms', 'list'],
      staleTime: 5 * 60_000,
      ...resource('/platforms', platformPage, { limit: 200 }),
    }),
  one: (platformId: string) =>
    queryOptions({
      queryKey: ['platforms', 'one', platformId],
      staleTime: 5 * 60_000,
      ...resource(platformPath(platformId), platformResponse),
    }),
  layout: (platformId: string, version: number) =>
    queryOptions({
      queryKey: ['platforms', 'layout', platformId, version],
      staleTime: Number.POSITIVE_INFINITY,
      ...resource(`${platformPath(platformId)}/layouts/${version}`, layoutResponse),
    }),
  signals: (platformId: string, dialectId: string) =>
    queryOptions({
      queryKey: ['platforms', 'signals', platformId, dialectId],
      ...resource(`${dialectPath(platformId, dialectId)}/signals`, busSignalsResponse),
    }),
  profile: (platformId: string, dialectId: string) =>
    queryOptions({
      queryKey: ['platforms', 'profile', platformId, dialectId],
      ...resource(`${dialectPath(platformId, dialectId)}/profile`, dialectProfileResponse),
    }),
  captures: (platformId: string) =>
    queryOptions({
      queryKey: ['platforms', 'captures', platformId],
      ...resource(`${platformPath(platformId)}/captures`, platformCapturesResponse),
    }),
};

/** What a change of a dialect can alter elsewhere: verdicts of cars, and captures that waited. */
function useInvalidateDialects() {
  const client = useQueryClient();
  return () =>
    Promise.all([['platforms'], ['vehicles'], ['logs']].map((queryKey) => client.invalidateQueries({ queryKey })));
}

export function useAddDialect(platformId: string) {
  const invalidate = useInvalidateDialects();
  return useMutation({
    mutationFn: (body: z.input<typeof addDialectRequest>) =>
      send('POST', `${platformPath(platformId)}/dialects`, { body, schema: platformResponse }),
    onSuccess: invalidate,
  });
}

export type DialectIdentifier = NonNullable<DialectProfileResponse['profile']>['identifiers'][number];

export function useSetBusSignals(platformId: string, dialectId: string) {
  const invalidate = useInvalidateDialects();
  return useMutation({
    mutationFn: (signals: readonly unknown[]) =>
      send('PUT', `${dialectPath(platformId, dialectId)}/signals`, { body: { signals }, schema: busSignalsResponse }),
    onSuccess: invalidate,
  });
}

export function useSetDialectProfile(platformId: string, dialectId: string) {
  const invalidate = useInvalidateDialects();
  return useMutation({
    mutationFn: (identifiers: readonly unknown[]) =>
      send('PUT', `${dialectPath(platformId, dialectId)}/profile`, {
        body: { identifiers },
        schema: dialectProfileResponse,
      }),
    onSuccess: invalidate,
  });
}

export function useLearnDialect(platformId: string, dialectId: string) {
  const invalidate = useInvalidateDialects();
  return useMutation({
    mutationFn: (captureIds: readonly string[]) =>
      send('POST', `${dialectPath(platformId, dialectId)}/learn`, {
        body: { captureIds },
        schema: dialectProfileResponse,
      }),
    onSuccess: invalidate,
  });
}
