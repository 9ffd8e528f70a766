import { clubTokensResponse, type createTokenRequest, madeToken, tokensResponse } from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { send } from './client.js';
import { resource } from './resource.js';

export const tokenQueries = {
  own: () => queryOptions({ queryKey: ['tokens', 'own'], ...resource('/tokens', tokensResponse) }),
  /** Of everybody, for maintainers. */
  club: () =>
    queryOptions({
      queryKey: ['tokens', 'club'],
      ...resource('/people/tokens', clubTokensResponse),
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
