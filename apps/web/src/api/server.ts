import { serverStatus } from '@syncline/contract';
import { queryOptions } from '@tanstack/react-query';
import { resource } from './resource.js';

const EVERY_MS = 60_000;

export const serverQueries = {
  status: () =>
    queryOptions({
      queryKey: ['server'],
      refetchInterval: EVERY_MS,
      ...resource('/server', serverStatus),
    }),
};
