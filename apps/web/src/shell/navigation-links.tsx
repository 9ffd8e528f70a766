import { Link } from '@tanstack/react-router';
import { lazy, Suspense } from 'react';
import classes from './app-frame.module.css';
import type { NavigationEntry } from './navigation.js';

/** Comes after the page: it asks a question of its own. */
const ReviewCount = lazy(async () => ({ default: (await import('./review-count.js')).ReviewCount }));

interface NavigationLinksProps {
  readonly entries: readonly NavigationEntry[];
  readonly onFollow?: () => void;
}

/** The pages of a role, as links. */
export function NavigationLinks({ entries, onFollow }: NavigationLinksProps) {
  return entries.map(({ to, label }) => (
    <Link
      key={to}
      to={to}
      className={classes.link ?? ''}
      onClick={onFollow}
      activeOptions={{ exact: to === '/logs', includeSearch: false }}
    >
      {label}
      {to === '/reviews' && (
        <Suspense>
          <ReviewCount />
        </Suspense>
      )}
    </Link>
  ));
}
