import { useNavigate, useSearch } from '@tanstack/react-router';
import type { CompareSearch } from './compare-search.js';

/** What the address of the Compare page says, and the way to change it. */
export function useCompareView() {
  const search = useSearch({ from: '/house/compare' });
  const navigate = useNavigate();
  const change = (part: Partial<CompareSearch>, replace = true) =>
    void navigate({ to: '/compare', search: { ...search, ...part }, replace, resetScroll: false });
  return { search, change };
}
