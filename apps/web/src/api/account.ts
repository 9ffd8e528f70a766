import {
  type changePasswordRequest,
  type codeRequest,
  type consentRequest,
  newSecondFactor,
  ownSessionsResponse,
  recoveryCodes,
  type resetRequest,
  resetState,
  secondFactorState,
  session,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { send } from './client.js';
import { resource } from './resource.js';

export const accountQueries = {
  sessions: () =>
    queryOptions({
      queryKey: ['sessions'],
      ...resource('/sessions', ownSessionsResponse),
    }),
  secondFactor: () =>
    queryOptions({
      queryKey: ['second-factor'],
      ...resource('/second-factor', secondFactorState),
    }),
  reset: (secret: string) =>
    queryOptions({
      queryKey: ['reset', secret],
      ...resource(`/resets/${encodeURIComponent(secret)}`, resetState),
    }),
};

export function useEndSession() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (sessionId: string) =>
      send('DELETE', `/sessions/${encodeURIComponent(sessionId)}`, { schema: z.undefined() }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['sessions'] }),
  });
}

export function useChangePassword() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (body: z.input<typeof changePasswordRequest>) =>
      send('PUT', '/session/password', { body, schema: z.undefined() }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['sessions'] }),
  });
}

export function useConsent() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (body: z.input<typeof consentRequest>) => send('POST', '/session/consent', { body, schema: session }),
    onSuccess: (now) => client.setQueryData(['session'], now),
  });
}

export function useBeginSecondFactor() {
  return useMutation({
    mutationFn: (password: string) => send('POST', '/second-factor', { body: { password }, schema: newSecondFactor }),
  });
}

/** What changes with a second factor is asked for again by `useSecondFactorChanged`, once the codes have been kept. */
export function useConfirmSecondFactor() {
  return useMutation({
    mutationFn: (body: z.input<typeof codeRequest>) =>
      send('POST', '/second-factor/confirm', { body, schema: recoveryCodes }),
  });
}

export function useSecondFactorChanged(): () => Promise<unknown> {
  const client = useQueryClient();
  return () =>
    Promise.all(
      [['second-factor'], ['sessions'], ['session']].map((queryKey) => client.invalidateQueries({ queryKey })),
    );
}

export function useRenewRecoveryCodes() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (password: string) =>
      send('POST', '/second-factor/recovery-codes', { body: { password }, schema: recoveryCodes }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['second-factor'] }),
  });
}

export function useRemoveSecondFactor() {
  const changed = useSecondFactorChanged();
  return useMutation({
    mutationFn: (password: string) =>
      send('POST', '/second-factor/removal', { body: { password }, schema: z.undefined() }),
    onSuccess: changed,
  });
}

export function useResetPassword(secret: string) {
  return useMutation({
    mutationFn: (body: z.input<typeof resetRequest>) =>
      send('POST', `/resets/${encodeURIComponent(secret)}`, { body, schema: z.undefined() }),
  });
}
