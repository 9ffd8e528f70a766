import { auditPage, invitation, type invitationRequest, personPage } from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { get, getAll, send } from './client.js';

export const peopleQueries = {
  list: () =>
    queryOptions({
      queryKey: ['people', 'list'],
      queryFn: ({ signal }) => getAll('/people', personPage, signal),
    }),
  audit: (cursor?: string) =>
    queryOptions({
      queryKey: ['people', 'audit', { cursor }],
      queryFn: ({ signal }) => get('/audit', auditPage, { query: { cursor, limit: 50 }, signal }),
    }),
};

export function useInvite() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (body: z.input<typeof invitationRequest>) => send('POST', '/invitations', { body, schema: invitation }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['people'] }),
  });
}
