import type { UseQueryResult } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { ProblemNotice } from './problem-notice.js';
import { RowSkeletons } from './skeletons.js';

interface QueryViewProps<Data> {
  readonly query: UseQueryResult<Data>;
  /** Shown while nothing is known yet; rows of a list by default. */
  readonly skeleton?: ReactNode;
  /** Whether the answer holds nothing to show. */
  readonly isEmpty?: (data: Data) => boolean;
  readonly empty?: ReactNode;
  readonly children: (data: Data) => ReactNode;
}

/** The four states of a view: loading, failed, empty, ready. Old data stay in sight when a later refresh fails. */
export function QueryView<Data>({
  query,
  skeleton = <RowSkeletons />,
  isEmpty,
  empty,
  children,
}: QueryViewProps<Data>) {
  const { data, error, refetch } = query;
  const notice = error === null ? null : <ProblemNotice error={error} onRetry={() => void refetch()} />;
  if (data === undefined) return notice ?? skeleton;
  return (
    <>
      {notice}
      {isEmpty?.(data) ? empty : children(data)}
    </>
  );
}
