import { useQuery } from '@tanstack/react-query';
import { platformQueries } from '../api/platforms.js';

/** Dialects of a platform, and what each is called; “not known” for none. An empty id waits for the platform to be known. */
export function useDialectTitles(platformId: string) {
  const platform = useQuery({ ...platformQueries.one(platformId), enabled: platformId !== '' });
  const dialects = platform.data?.platform.dialects ?? [];
  const titleOf = (id: string | null) => dialects.find((dialect) => dialect.id === id)?.title ?? id ?? 'not known';
  return { dialects, titleOf };
}
