import { serverStatus } from '@syncline/contract';
import { queryOptions } from '@tanstack/react-query';
import { get } from './client.js';

const EVERY_MS = 60_000;

export const serverQueries = {
  status: () =>
    queryOptions({
      queryKey: ['server'],
      refetchInterval: EVERY_MS,
      queryFn: ({ signal }) => get('/server', serverStatus, { signal }),
    }),
};
