import {
  adaptation,
  adaptationsResponse,
  type createAdaptationRequest,
  type createProposalRequest,
  draftPreviewResponse,
  draftResponse,
  proposalOriginResponse,
  proposalResponse,
  proposalsResponse,
  type takeProposalRequest,
  vehicleTrimsResponse,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { apiUrl, send } from './client.js';
import { resource } from './resource.js';

const POLL_MS = 1000;
const calibrationPath = (id: string) => `/calibrations/${encodeURIComponent(id)}`;
const proposalPath = (id: string) => `/proposals/${encodeURIComponent(id)}`;
const vehiclePath = (id: string) => `/vehicles/${encodeURIComponent(id)}`;

export const proposalQueries = {
  list: (calibrationId: string) =>
    queryOptions({
      queryKey: ['proposals', 'list', calibrationId],
      ...resource(`${calibrationPath(calibrationId)}/proposals`, proposalsResponse),
      refetchInterval: ({ state }) => (state.data?.items.some((item) => item.state === 'waiting') ? POLL_MS : false),
    }),
  one: (proposalId: string) =>
    queryOptions({
      queryKey: ['proposals', 'one', proposalId],
      ...resource(proposalPath(proposalId), proposalResponse),
      refetchInterval: ({ state: { data } }) =>
        data?.state === 'waiting' || data?.preview.kind === 'running' ? POLL_MS : false,
    }),
  /** The proposal that a draft or a revision took from. */
  origin: (of: { readonly draft: string } | { readonly revision: string }) =>
    queryOptions({
      queryKey: ['proposals', 'origin', of],
      ...resource('/proposal-origin', proposalOriginResponse, { ...of }),
    }),
  trims: (vehicleId: string) =>
    queryOptions({
      queryKey: ['proposals', 'trims', vehicleId],
      ...resource(`${vehiclePath(vehicleId)}/trims`, vehicleTrimsResponse),
    }),
  adaptations: (vehicleId: string) =>
    queryOptions({
      queryKey: ['proposals', 'adaptations', vehicleId],
      ...resource(`${vehiclePath(vehicleId)}/adaptations`, adaptationsResponse),
    }),
};

const draftPreviewPath = (draftId: string) => `/drafts/${encodeURIComponent(draftId)}/preview`;

/** What simulated cars made of a draft. */
export function draftPreviewQuery(draftId: string) {
  return queryOptions({
    queryKey: ['proposals', 'draft preview', draftId],
    ...resource(draftPreviewPath(draftId), draftPreviewResponse),
    refetchInterval: ({ state: { data } }) => (data?.preview.kind === 'running' ? POLL_MS : false),
  });
}

/** Address of all that a proposal says of every node, as a file. */
export function proposalNodesUrl(proposalId: string, format: 'csv' | 'json'): string {
  return apiUrl(`${proposalPath(proposalId)}/nodes${format === 'csv' ? '.csv' : ''}`);
}

/** A change after which everything about proposals is read anew, and the drafts where one may have been begun. */
function useProposalMutation<Input, Answer>(work: (input: Input) => Promise<Answer>) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: work,
    onSuccess: () =>
      Promise.all([
        client.invalidateQueries({ queryKey: ['proposals'] }),
        client.invalidateQueries({ queryKey: ['drafts', 'list'] }),
      ]),
  });
}

export function useCreateProposal(calibrationId: string) {
  return useProposalMutation((body: z.input<typeof createProposalRequest>) =>
    send('POST', `${calibrationPath(calibrationId)}/proposals`, { body, schema: proposalResponse }),
  );
}

export function useTakeProposal(proposalId: string) {
  return useProposalMutation((body: z.input<typeof takeProposalRequest>) =>
    send('POST', `${proposalPath(proposalId)}/drafts`, { body, schema: draftResponse }),
  );
}

export function useRejectProposal(proposalId: string) {
  return useProposalMutation((reason: string) =>
    send('POST', `${proposalPath(proposalId)}/rejection`, { body: { reason }, schema: proposalResponse }),
  );
}

export function usePreviewProposal(proposalId: string) {
  return useProposalMutation(() =>
    send('POST', `${proposalPath(proposalId)}/preview`, { body: {}, schema: proposalResponse }),
  );
}

export function usePreviewDraft(draftId: string) {
  return useProposalMutation(() => send('POST', draftPreviewPath(draftId), { body: {}, schema: draftPreviewResponse }));
}

export function useAddAdaptation(vehicleId: string) {
  return useProposalMutation((body: z.input<typeof createAdaptationRequest>) =>
    send('POST', `${vehiclePath(vehicleId)}/adaptations`, { body, schema: adaptation }),
  );
}
