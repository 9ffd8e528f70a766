import { useQueries, useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { fleetQueries } from '../api/fleet.js';
import { platformQueries } from '../api/platforms.js';

interface Choice {
  readonly value: string;
  readonly label: string;
}

/**
 * Revisions to choose from in a filter, newest first. They come from the trend of the fleet, which every role may
 * read. Without a platform, those of all platforms.
 */
export function useRevisionChoices(platformId?: string): Choice[] {
  const platforms = useQuery({ ...platformQueries.list(), enabled: platformId === undefined });
  const ids = platformId !== undefined ? [platformId] : (platforms.data?.items ?? []).map((platform) => platform.id);
  const trends = useQueries({ queries: ids.map((id) => fleetQueries.trend({ platform: id })) });
  const points = trends.flatMap((trend) => trend.data?.points ?? []);
  const key = points.map((point) => point.revisionId).join();
  // oxlint-disable-next-line react-hooks/exhaustive-deps -- the key stands for the points
  return useMemo(() => points.map(({ revisionId, label }) => ({ value: revisionId, label })).reverse(), [key]);
}
