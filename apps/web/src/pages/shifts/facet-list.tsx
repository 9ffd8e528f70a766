import type { ShiftFacetsResponse } from '@syncline/contract';
import { type ReactNode, useId, useState } from 'react';
import { formatCount } from '../../format/quantity.js';
import { type FacetEntry, facetEntries } from './facet-entries.js';
import classes from './facets.module.css';

interface FacetListProps {
  readonly title: string;
  /** Undefined while the counts are on their way. */
  readonly facet: ShiftFacetsResponse['kinds'] | undefined;
  readonly chosen: string | undefined;
  readonly onChoose: (value: string | undefined) => void;
  /** How a value is shown; by its label when left out. */
  readonly render?: (entry: FacetEntry) => ReactNode;
  /** Marks the first value as the field that `/` goes to. */
  readonly isFirst?: boolean;
}

/** Entries shown before “show all”. */
const SHOWN = 7;

/** The values of one dimension with the shifts that each would leave; a press takes one, another press lets it go. */
export function FacetList({ title, facet, chosen, onChoose, render, isFirst = false }: FacetListProps) {
  const titleId = useId();
  const [isAll, setAll] = useState(false);
  const entries = facetEntries(facet ?? [], chosen);
  if (facet !== undefined && entries.length === 0) return null;
  const shown = isAll ? entries : entries.filter(({ value }, at) => at < SHOWN || value === chosen);
  return (
    <div role="group" aria-labelledby={titleId} className={classes.facet}>
      <div id={titleId} className={classes.title}>
        {title}
      </div>
      {shown.map((entry, at) => {
        const isChosen = entry.value === chosen;
        return (
          <button
            key={entry.value}
            type="button"
            className={classes.entry}
            aria-pressed={isChosen}
            onClick={() => onChoose(isChosen ? undefined : entry.value)}
            {...(isFirst && at === 0 && { 'data-search-field': true })}
          >
            <span className={classes.label}>
              {isChosen && <span aria-hidden="true">✓ </span>}
              {render === undefined ? entry.label : render(entry)}
            </span>
            <span className={classes.count}>{formatCount(entry.shifts)}</span>
          </button>
        );
      })}
      {entries.length > shown.length && (
        <button type="button" className={classes.more} onClick={() => setAll(true)}>
          Show all {formatCount(entries.length)}
        </button>
      )}
    </div>
  );
}
