import type { QueryClient } from '@tanstack/react-query';
import { sessionQueries } from './api/session.js';
import type { createAppRouter } from './router.js';

/** Asks who is signed in and loads the script of the page at once, which the router would do one after the other. */
export function startEarly(router: ReturnType<typeof createAppRouter>, queryClient: QueryClient): void {
  const [routes] = router.getMatchedRoutes(router.latestLocation.pathname);
  for (const route of routes) {
    if (route.id === '/house') void queryClient.prefetchQuery(sessionQueries.current());
    // What does not come is asked for again by the router, which then tells what is wrong.
    void router.loadRouteChunk(route);
  }
}
