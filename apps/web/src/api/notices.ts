import { type createHookRequest, hooksResponse, madeHook, noticesResponse } from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { send } from './client.js';
import { resource } from './resource.js';

export const noticeQueries = {
  hooks: () => queryOptions({ queryKey: ['notices', 'hooks'], ...resource('/hooks', hooksResponse) }),
  list: () =>
    queryOptions({
      queryKey: ['notices', 'list'],
      ...resource('/notices', noticesResponse),
    }),
};

function useInvalidateNotices() {
  const client = useQueryClient();
  return () => client.invalidateQueries({ queryKey: ['notices'] });
}

export function useAddHook() {
  const onSuccess = useInvalidateNotices();
  return useMutation({
    mutationFn: (body: z.input<typeof createHookRequest>) => send('POST', '/hooks', { body, schema: madeHook }),
    onSuccess,
  });
}

export function useRemoveHook() {
  const onSuccess = useInvalidateNotices();
  return useMutation({
    mutationFn: (hookId: string) => send('DELETE', `/hooks/${encodeURIComponent(hookId)}`, { schema: z.undefined() }),
    onSuccess,
  });
}
