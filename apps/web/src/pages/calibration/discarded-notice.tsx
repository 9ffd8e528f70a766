import { Button } from '@mantine/core';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useReopenDraft } from '../../api/drafts.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import classes from './calibration.module.css';

/** A draft was just discarded: the way back. */
export function DiscardedNotice() {
  const { discarded } = useSearch({ from: '/house/calibrations/$calibrationId' });
  const reopen = useReopenDraft(discarded ?? '');
  const navigate = useNavigate();
  if (discarded === undefined) return null;
  return (
    <div className={classes.discarded} role="status">
      The draft is discarded.
      <Button
        variant="default"
        size="xs"
        loading={reopen.isPending}
        onClick={() =>
          reopen.mutate(undefined, {
            onSuccess: ({ id }) => void navigate({ to: '/drafts/$draftId', params: { draftId: id } }),
          })
        }
      >
        Bring it back
      </Button>
      {reopen.error !== null && <ProblemNotice error={reopen.error} />}
    </div>
  );
}
