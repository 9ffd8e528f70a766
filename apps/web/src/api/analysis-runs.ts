import {
  analysisRun,
  analysisRunPage,
  analysisRunResponse,
  type beginRunRequest,
  candidateResponse,
  type discardRunRequest,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { send } from './client.js';
import { resource } from './resource.js';

const POLL_MS = 2000;
/** A club has a few in a year. */
const NEWEST_RUNS = 50;
const runPath = (runId: string) => `/analysis-runs/${encodeURIComponent(runId)}`;

export const analysisRunQueries = {
  list: () =>
    queryOptions({
      queryKey: ['analysis-runs', 'list'],
      ...resource('/analysis-runs', analysisRunPage, { limit: NEWEST_RUNS }),
      refetchInterval: ({ state }) => (state.data?.items.some(isCollecting) ? POLL_MS : false),
    }),
  one: (runId: string) =>
    queryOptions({
      queryKey: ['analysis-runs', 'one', runId],
      ...resource(runPath(runId), analysisRunResponse),
      refetchInterval: ({ state }) => (state.data !== undefined && isCollecting(state.data) ? POLL_MS : false),
    }),
  log: (runId: string, logId: string) =>
    queryOptions({
      queryKey: ['analysis-runs', 'log', runId, logId],
      ...resource(`${runPath(runId)}/logs/${encodeURIComponent(logId)}`, candidateResponse),
    }),
};

function isCollecting({ state }: z.infer<typeof analysisRun>): boolean {
  return state === 'collecting';
}

/** A switch changes what every page shows: nothing that was asked for before is of now. */
function useRunChange<Input>(mutationFn: (input: Input) => Promise<z.infer<typeof analysisRun>>) {
  const client = useQueryClient();
  return useMutation({ mutationFn, onSuccess: () => client.invalidateQueries() });
}

export function useBeginRun() {
  return useRunChange((body: z.input<typeof beginRunRequest>) =>
    send('POST', '/analysis-runs', { body, schema: analysisRun }),
  );
}

export function useSwitchToRun(runId: string) {
  return useRunChange<void>(() => send('POST', `${runPath(runId)}/switch`, { schema: analysisRun }));
}

export function useDiscardRun(runId: string) {
  return useRunChange((body: z.input<typeof discardRunRequest>) =>
    send('POST', `${runPath(runId)}/discard`, { body, schema: analysisRun }),
  );
}
