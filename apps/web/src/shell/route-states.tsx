import { type ErrorComponentProps, useRouter } from '@tanstack/react-router';
import { EmptyState } from '../parts/empty-state.js';
import { PageHead } from '../parts/page-head.js';
import { ProblemNotice } from '../parts/problem-notice.js';
import { RowSkeletons } from '../parts/skeletons.js';
import { TextLink } from '../parts/text-link.js';
import { PublicFrame } from './public-frame.js';

/** A page that could not be drawn. */
export function RouteFault({ error, reset }: ErrorComponentProps) {
  const router = useRouter();
  const retry = () => {
    reset();
    void router.invalidate();
  };
  return (
    <>
      <PageHead title="This page failed" />
      <ProblemNotice error={error} onRetry={retry} />
    </>
  );
}

/** No route has this address. */
export function NotFound() {
  return (
    <>
      <PageHead title="No such page" />
      <EmptyState title="There is nothing at this address" action={<TextLink to="/">Go to the first page</TextLink>}>
        The link may be cut off, or the thing may belong to someone else.
      </EmptyState>
    </>
  );
}

/** The same two for addresses and faults outside the frame of the signed-in pages. */
export function PublicFault(props: ErrorComponentProps) {
  return (
    <PublicFrame>
      <RouteFault {...props} />
    </PublicFrame>
  );
}

export function PublicNotFound() {
  return (
    <PublicFrame>
      <NotFound />
    </PublicFrame>
  );
}

/** Nobody knows yet who is signed in. */
export function PublicPending() {
  return (
    <PublicFrame>
      <RowSkeletons rows={4} />
    </PublicFrame>
  );
}
