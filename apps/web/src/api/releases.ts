import {
  type answerOfferRequest,
  cohortResponse,
  type createReleaseRequest,
  type OfferResponse,
  offerResponse,
  type ReleaseAct,
  type ReleaseCohort,
  type ReleaseState,
  releaseLooksResponse,
  releasePage,
  releaseResponse,
  vehicleResponse,
} from '@syncline/contract';
import { keepPreviousData, queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { toApiProblem, Unreachable } from './api-problem.js';
import { apiUrl, send } from './client.js';
import { resource, wholeList } from './resource.js';

export interface ReleaseFilter {
  platform?: string | undefined;
  state?: ReleaseState | undefined;
}

const releasePath = (releaseId: string) => `/releases/${encodeURIComponent(releaseId)}`;
const offerPath = (vehicleId: string) => `/vehicles/${encodeURIComponent(vehicleId)}/offer`;

export const releaseQueries = {
  list: ({ platform, state }: ReleaseFilter) =>
    queryOptions({
      queryKey: ['releases', 'list', { platform, state }],
      ...wholeList('/releases', releasePage, { platform, state }),
    }),
  one: (releaseId: string) =>
    queryOptions({
      queryKey: ['releases', 'one', releaseId],
      ...resource(releasePath(releaseId), releaseResponse),
    }),
  looks: (releaseId: string) =>
    queryOptions({
      queryKey: ['releases', 'looks', releaseId],
      ...resource(`${releasePath(releaseId)}/looks`, releaseLooksResponse),
    }),
  cohort: (revision: string, cohort: ReleaseCohort) =>
    queryOptions({
      queryKey: ['releases', 'cohort', revision, cohort],
      ...resource('/releases/cohort', cohortResponse, {
        revision,
        ...Object.fromEntries(Object.entries(cohort).map(([name, values]) => [name, values.join(',')])),
      }),
      placeholderData: keepPreviousData,
    }),
  offer: (vehicleId: string) =>
    queryOptions({
      queryKey: ['releases', 'offer', vehicleId],
      ...resource(offerPath(vehicleId), offerResponse),
    }),
};

/** What a move of a release or an answer to it can alter elsewhere. */
function useInvalidateReleases() {
  const client = useQueryClient();
  return () =>
    Promise.all(
      [['releases'], ['vehicles'], ['calibrations'], ['notices']].map((queryKey) =>
        client.invalidateQueries({ queryKey }),
      ),
    );
}

export function useDraftRelease() {
  const onSuccess = useInvalidateReleases();
  return useMutation({
    mutationFn: (body: z.input<typeof createReleaseRequest>) =>
      send('POST', '/releases', { body, schema: releaseResponse }),
    onSuccess,
  });
}

export function useActOnRelease(releaseId: string) {
  const onSuccess = useInvalidateReleases();
  return useMutation({
    mutationFn: (body: { act: ReleaseAct; reason: string }) =>
      send('POST', `${releasePath(releaseId)}/acts`, { body, schema: releaseResponse }),
    onSuccess,
  });
}

export function useAnswerOffer(vehicleId: string) {
  const onSuccess = useInvalidateReleases();
  return useMutation({
    mutationFn: (body: z.input<typeof answerOfferRequest>) =>
      send('POST', `${offerPath(vehicleId)}/answer`, { body, schema: offerResponse }),
    onSuccess,
  });
}

export function useSetTags(vehicleId: string) {
  const onSuccess = useInvalidateReleases();
  return useMutation({
    mutationFn: (tags: string[]) =>
      send('PUT', `/vehicles/${encodeURIComponent(vehicleId)}/tags`, { body: { tags }, schema: vehicleResponse }),
    onSuccess,
  });
}

export type OfferFormat = NonNullable<OfferResponse['target']>['formats'][number];

/** A file that came for a car, with what the server says of it. */
export interface OfferedFile {
  readonly blob: Blob;
  readonly fileName: string;
  /** SHA-256 of the file, in hex. */
  readonly sha256: string;
}

/** Fetches the file for a car. Each time is recorded. Throws `ApiProblem` with every reason against it. */
export function useDownloadOffer(vehicleId: string) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: async (format: OfferFormat): Promise<OfferedFile> => {
      const response = await fetch(apiUrl(`${offerPath(vehicleId)}/download`, { format }), {
        credentials: 'same-origin',
      }).catch((cause) => {
        throw new Unreachable('No answer from the server. Check the connection.', { cause });
      });
      if (!response.ok) {
        throw toApiProblem(response.status, await response.text(), response.headers.get('x-request-id'));
      }
      return {
        blob: await response.blob(),
        fileName: nameIn(response.headers.get('content-disposition')) ?? `revision.${format}`,
        sha256: response.headers.get('x-content-sha256') ?? '',
      };
    },
    onSettled: () => client.invalidateQueries({ queryKey: ['releases'] }),
  });
}

/** The name in a Content-Disposition header (RFC 6266), the extended form first. */
function nameIn(header: string | null): string | null {
  const extended = /filename\*=UTF-8''([^;]+)/i.exec(header ?? '')?.[1];
  if (extended !== undefined) return decodeURIComponent(extended);
  return /filename="([^"]*)"/i.exec(header ?? '')?.[1] ?? null;
}
