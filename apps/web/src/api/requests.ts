import {
  type answerDriveRequest,
  type createDriveRequest,
  driveRequest,
  driveRequestPage,
  gapCarsResponse,
  gapsResponse,
  type RequestState,
} from '@syncline/contract';
import { keepPreviousData, queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { send } from './client.js';
import { resource, wholeList } from './resource.js';

export interface GapFilter {
  platform: string;
  revision?: string | undefined;
  program?: string | undefined;
}
export interface GapPoint {
  kind: string;
  loadBand: number;
  fluidTemperatureBand: number;
}

export const requestQueries = {
  /** Every request of a state; a tester's are those to her cars. */
  list: (state?: RequestState) =>
    queryOptions({
      queryKey: ['requests', 'list', state],
      ...wholeList('/requests', driveRequestPage, { state }),
    }),
  gaps: (filter: GapFilter) =>
    queryOptions({
      queryKey: ['requests', 'gaps', filter],
      refetchOnWindowFocus: false,
      ...resource('/fleet/gaps', gapsResponse, { ...filter }),
      placeholderData: keepPreviousData,
    }),
  cars: (filter: GapFilter, point: GapPoint) =>
    queryOptions({
      queryKey: ['requests', 'cars', filter, point],
      ...resource('/fleet/gaps/cars', gapCarsResponse, { ...filter, ...point }),
    }),
};

function useRequestMutation<Input>(path: (input: Input) => string, body: (input: Input) => unknown) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (input: Input) => send('POST', path(input), { body: body(input), schema: driveRequest }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['requests'] }),
  });
}

export function useSendRequest() {
  return useRequestMutation<z.input<typeof createDriveRequest>>(
    () => '/requests',
    (input) => input,
  );
}

export function useWithdrawRequest(requestId: string) {
  return useRequestMutation<{ reason: string }>(
    () => `/requests/${encodeURIComponent(requestId)}/withdraw`,
    (input) => input,
  );
}

export function useAnswerRequest(requestId: string) {
  return useRequestMutation<z.input<typeof answerDriveRequest>>(
    () => `/requests/${encodeURIComponent(requestId)}/answer`,
    (input) => input,
  );
}
