import {
  type acceptInvitationRequest,
  type beginOpenIdRequest,
  begunOpenId,
  type codeRequest,
  erasure,
  invitationState,
  openIdOffer,
  type Session,
  session,
  type setupRequest,
  setupState,
  type signInRequest,
} from '@syncline/contract';
import { type QueryClient, queryOptions, useMutation, useQueryClient, useSuspenseQuery } from '@tanstack/react-query';
import { z } from 'zod';
import { forgetEarly } from '../early/early-answers.js';
import { isProblem } from './api-problem.js';
import { get, send } from './client.js';
import { resource } from './resource.js';

export const sessionQueries = {
  setup: () => queryOptions({ queryKey: ['setup'], ...resource('/setup', setupState) }),
  /** Who is signed in; null when nobody is. */
  current: () =>
    queryOptions({
      queryKey: ['session'],
      staleTime: 60_000,
      queryFn: async ({ signal }): Promise<Session | null> => {
        try {
          return await get('/session', session, { signal });
        } catch (error) {
          if (isProblem(error, 'session.required')) return null;
          throw error;
        }
      },
    }),
  /** What the sign-in page offers beside the password. */
  openId: () => queryOptions({ queryKey: ['openid'], ...resource('/openid', openIdOffer) }),
  invitation: (secret: string) =>
    queryOptions({
      queryKey: ['invitation', secret],
      ...resource(`/invitations/${encodeURIComponent(secret)}`, invitationState),
    }),
};

/** The signed-in person. Only for pages behind sign-in: the router has made sure of it. */
export function useSession(): Session {
  const { data } = useSuspenseQuery(sessionQueries.current());
  if (data === null) throw new Error('useSession is for pages behind sign-in');
  return data;
}

/** What another person has seen is forgotten; pages that wait for the session hear of it. */
function enter(client: QueryClient, now: Session | null): void {
  forgetEarly();
  client.setQueryData(['session'], now);
  client.removeQueries({ predicate: ({ queryKey }) => queryKey[0] !== 'session' });
}

function useSessionMutation<T>(path: (input: T) => string, body: (input: T) => unknown) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (input: T) => send('POST', path(input), { body: body(input), schema: session }),
    onSuccess: (made) => enter(client, made),
  });
}

export function useSetup() {
  return useSessionMutation<z.input<typeof setupRequest>>(
    () => '/setup',
    (input) => input,
  );
}

export function useSignIn() {
  return useSessionMutation<z.input<typeof signInRequest>>(
    () => '/session',
    (input) => input,
  );
}

/** Ends a sign-in by a provider, for who has a second factor. */
export function useEnterCode() {
  return useSessionMutation<z.input<typeof codeRequest>>(
    () => '/session/code',
    (input) => input,
  );
}

/** Leaves for the provider. */
export function useBeginOpenId() {
  return useMutation({
    mutationFn: (body: z.input<typeof beginOpenIdRequest>) =>
      send('POST', '/openid/begin', { body, schema: begunOpenId }),
    onSuccess: ({ location }) => window.location.assign(location),
  });
}

export function useAcceptInvitation(secret: string) {
  return useSessionMutation<z.input<typeof acceptInvitationRequest>>(
    () => `/invitations/${encodeURIComponent(secret)}/accept`,
    (input) => input,
  );
}

/** Removes the data of who is signed in; there is nobody signed in after it. */
export function useEraseOwn() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (email: string) => send('POST', '/session/erasure', { body: { email }, schema: erasure }),
    onSuccess: () => enter(client, null),
  });
}

export function useSignOut() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: () => send('DELETE', '/session', { schema: z.undefined() }),
    onSuccess: () => enter(client, null),
  });
}
