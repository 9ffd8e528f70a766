import type { CalibrationResponse } from '@syncline/contract';
import { useQueries, useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';

interface CalibrationsFound {
  /** Those that have come so far; undefined before the first answer. */
  readonly calibrations: readonly CalibrationResponse[] | undefined;
  readonly error: Error | null;
  readonly retry: () => void;
}

/** Every calibration with its revisions, to choose any two from. */
export function useCalibrations(): CalibrationsFound {
  const list = useQuery(calibrationQueries.list());
  const details = useQueries({ queries: (list.data?.items ?? []).map(({ id }) => calibrationQueries.one(id)) });
  const isWaiting = list.isPending || (details.length > 0 && details.every(({ isPending }) => isPending));
  const failed = [list, ...details].filter(({ error }) => error !== null);
  return {
    calibrations: isWaiting ? undefined : details.flatMap(({ data }) => data ?? []),
    error: failed[0]?.error ?? null,
    retry: () => {
      for (const query of failed) void query.refetch();
    },
  };
}
