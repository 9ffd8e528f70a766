import { VisuallyHidden } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { reviewQueries } from '../api/reviews.js';
import { formatCount } from '../format/quantity.js';
import classes from './app-frame.module.css';

/** How many open reviews wait for the signed-in person; nothing for none. */
export function ReviewCount() {
  const { data } = useQuery({ ...reviewQueries.list('open'), staleTime: 60_000 });
  const count = data?.items.filter(({ mayDecide }) => mayDecide).length ?? 0;
  if (count === 0) return null;
  return (
    <>
      {' '}
      <span className={classes.count}>
        {formatCount(count)}
        <VisuallyHidden> waiting for you</VisuallyHidden>
      </span>
    </>
  );
}
