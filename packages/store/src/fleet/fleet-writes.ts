import type { WriteContext } from '../database/context.js';
import type { FleetWrites } from './fleet.js';
import { findSummaryDifferences, rebuildSummaries } from './summaries.js';

export function fleetWrites({ db, transaction }: WriteContext): FleetWrites {
  return {
    recomputeSummaries: () =>
      transaction(() => {
        const differences = findSummaryDifferences(db);
        if (differences.length > 0) rebuildSummaries(db);
        return differences;
      }),

    verifySummaries: () => findSummaryDifferences(db),
  };
}
