import { useNavigate, useParams, useSearch } from '@tanstack/react-router';
import type { RevisionSearch } from './revision-search.js';

/** What the address of the Revision page says, and the way to change it. Moves within a grid replace the entry. */
export function useRevisionView() {
  const { revisionId } = useParams({ from: '/house/revisions/$revisionId' });
  const search = useSearch({ from: '/house/revisions/$revisionId' });
  const navigate = useNavigate();
  const change = (part: Partial<RevisionSearch>, replace = true) =>
    void navigate({
      to: '/revisions/$revisionId',
      params: { revisionId },
      search: { ...search, ...part },
      replace,
      resetScroll: false,
    });
  return { revisionId, search, change };
}
