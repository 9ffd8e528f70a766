import { erasure, invitation, type invitationRequest, person, personPage, resetLink } from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { send } from './client.js';
import { wholeList } from './resource.js';

export const peopleQueries = {
  list: () =>
    queryOptions({
      queryKey: ['people', 'list'],
      ...wholeList('/people', personPage),
    }),
};

function usePeopleMutation<Input, Output>(mutationFn: (input: Input) => Promise<Output>) {
  const client = useQueryClient();
  return useMutation({ mutationFn, onSuccess: () => client.invalidateQueries({ queryKey: ['people'] }) });
}

export function useInvite() {
  return usePeopleMutation((body: z.input<typeof invitationRequest>) =>
    send('POST', '/invitations', { body, schema: invitation }),
  );
}

const ofPerson = (personId: string, what: string) => `/people/${encodeURIComponent(personId)}/${what}`;

export function useEndSessionsOf(personId: string) {
  return usePeopleMutation(() => send('DELETE', ofPerson(personId, 'sessions'), { schema: z.undefined() }));
}

export function useSuspend(personId: string) {
  return usePeopleMutation((reason: string) =>
    send('PUT', ofPerson(personId, 'suspension'), { body: { reason }, schema: person }),
  );
}

export function useErase(personId: string) {
  return usePeopleMutation((address: string) =>
    send('POST', ofPerson(personId, 'erasure'), { body: { email: address }, schema: erasure }),
  );
}

export function useReactivate(personId: string) {
  return usePeopleMutation(() => send('DELETE', ofPerson(personId, 'suspension'), { schema: person }));
}

export function useMakeResetLink(personId: string) {
  return usePeopleMutation(() => send('POST', ofPerson(personId, 'reset-link'), { schema: resetLink }));
}

export function useRemoveSecondFactorOf(personId: string) {
  return usePeopleMutation(() => send('DELETE', ofPerson(personId, 'second-factor'), { schema: z.undefined() }));
}
