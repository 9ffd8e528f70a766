import type { ReactNode } from 'react';
import classes from './filter-bar.module.css';

/** The filters of a page in one line; each writes itself into the address. */
export function FilterBar({ children }: { readonly children: ReactNode }) {
  return (
    <search className={classes.bar} aria-label="Filters">
      {children}
    </search>
  );
}
