import type { ShiftFacetsResponse } from '@syncline/contract';

export type FacetEntry = ShiftFacetsResponse['kinds'][number];

/** The values of a dimension; the chosen one stays in the list even where no shift is left of it. */
export function facetEntries(facet: readonly FacetEntry[], chosen: string | undefined): FacetEntry[] {
  if (chosen === undefined || facet.some(({ value }) => value === chosen)) return [...facet];
  return [{ value: chosen, label: chosen, shifts: 0 }, ...facet];
}
