import { notifyManager, QueryCache, QueryClient } from '@tanstack/react-query';
import { ApiProblem, isProblem } from './api-problem.js';

const FRESH_MS = 15_000;
const RETRIES = 2;

// What is there already is drawn before the browser paints the page without it.
notifyManager.setScheduler(queueMicrotask);

/** A problem that the API named is an answer; only lost connections and faults of the server are tried again. */
function shouldRetry(failureCount: number, error: unknown): boolean {
  if (error instanceof ApiProblem && error.document.status < 500) return false;
  return failureCount < RETRIES;
}

export function createQueryClient(): QueryClient {
  const client = new QueryClient({
    queryCache: new QueryCache({
      // A session that ended meanwhile: ask again who is signed in; the router then shows the sign-in page.
      onError: (error, query) => {
        if (isProblem(error, 'session.required') && query.queryKey[0] !== 'session')
          client.setQueryData(['session'], null);
      },
    }),
    defaultOptions: {
      queries: { staleTime: FRESH_MS, retry: shouldRetry, refetchOnWindowFocus: true },
      mutations: { retry: false },
    },
  });
  return client;
}
