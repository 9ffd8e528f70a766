import { clubTokensResponse, type createTokenRequest, madeToken, tokensResponse } from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { get, send } from './client.js';

export const tokenQueries = {
  own: () =>
    queryOptions({ queryKey: ['tokens', 'own'], queryFn: ({ signal }) => get('/tokens', tokensResponse, { signal }) }),
  /** Of everybody, for maintainers. */
  club: () =>
    queryOptions({
      queryKey: ['tokens', 'club'],
      queryFn: ({ signal }) => get('/people/tokens', clubTokensResponse, { signal }),
    }),
};

export function useMakeToken() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (body: z.input<typeof createTokenRequest>) => send('POST', '/tokens', { body, schema: madeToken }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['tokens'] }),
  });
}

function useRevoke(pathOf: (tokenId: string) => string) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (tokenId: string) => send('DELETE', pathOf(encodeURIComponent(tokenId)), { schema: z.undefined() }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['tokens'] }),
  });
}

export function useRevokeToken() {
  return useRevoke((tokenId) => `/tokens/${tokenId}`);
}

export function useRevokeClubToken() {
  return useRevoke((tokenId) => `/people/tokens/${tokenId}`);
}
