import { type createHookRequest, hooksResponse, madeHook, noticesResponse } from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { get, send } from './client.js';

export const noticeQueries = {
  hooks: () =>
    queryOptions({ queryKey: ['notices', 'hooks'], queryFn: ({ signal }) => get('/hooks', hooksResponse, { signal }) }),
  list: () =>
    queryOptions({
      queryKey: ['notices', 'list'],
      queryFn: ({ signal }) => get('/notices', noticesResponse, { signal }),
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
