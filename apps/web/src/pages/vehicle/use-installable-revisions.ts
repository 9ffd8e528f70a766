import { mayDo } from '@syncline/contract';
import { useQueries, useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';
import { useSession } from '../../api/session.js';
import { useRevisionChoices } from '../../parts/use-revision-choices.js';

/**
 * Revisions that a car of a platform may run, newest first: all of its calibrations for those who may read them, else
 * those that the fleet has driven.
 */
export function useInstallableRevisions(platformId: string): { value: string; label: string }[] {
  const mayRead = mayDo(useSession().person.role, 'calibration:read');
  const driven = useRevisionChoices(platformId);
  const list = useQuery({ ...calibrationQueries.list(), enabled: mayRead });
  const ofPlatform = (list.data?.items ?? []).filter((calibration) => calibration.platformId === platformId);
  const calibrations = useQueries({ queries: ofPlatform.map(({ id }) => calibrationQueries.one(id)) });
  if (!mayRead) return driven;
  return calibrations
    .flatMap(({ data }) => data?.revisions ?? [])
    .sort((a, b) => b.createdAt.localeCompare(a.createdAt))
    .map(({ id, calibrationTitle, number, message }) => ({
      value: id,
      label: `${calibrationTitle} r${number}: ${message}`,
    }));
}
