import type { TrendResponse } from '@syncline/contract';
import { useQueries, useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { fleetQueries } from '../../api/fleet.js';
import { isSpreadMeasure, MEASURED } from '../../format/measured.js';
import { type FleetView, filterOf } from './fleet-view.js';
import { ratePoint, spreadPoint, type TrendPoint } from './trend-point.js';
import { spreadFilter } from './use-fleet-matrix.js';

/** Revisions whose spreads are asked for, one by one; the newest. */
const MOST_SPREADS = 12;
const NO_REVISIONS: TrendResponse['points'] = [];

/** Trend of the measure over the revisions driven under the filters of the view, oldest first. */
export function useTrend(view: FleetView) {
  const { measure } = view;
  const { revision: _, ...filter } = filterOf(view);
  const query = useQuery(fleetQueries.trend(filter));
  const revisions = query.data?.points ?? NO_REVISIONS;
  const isSpread = isSpreadMeasure(measure);
  const newest = useMemo(() => (isSpread ? revisions.slice(-MOST_SPREADS) : []), [isSpread, revisions]);
  const points = useQueries({
    queries: newest.map(({ revisionId }) =>
      fleetQueries.spread(spreadFilter({ ...filter, revision: revisionId }, isSpread ? measure : 'flareRpm')),
    ),
    combine: (answers): TrendPoint[] | undefined => {
      if (!isSpreadMeasure(measure)) return revisions.map((revision) => ratePoint(revision, measure));
      const found = answers.flatMap(({ data }, at) => {
        const revision = newest[at];
        return data === undefined || revision === undefined
          ? []
          : [spreadPoint(revision, data.total, MEASURED[measure].unit)];
      });
      return found.length === newest.length ? found : undefined;
    },
  });
  return { query, points, leftOut: isSpread ? revisions.length - newest.length : 0 };
}
