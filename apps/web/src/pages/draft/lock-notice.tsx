import { Button, Group } from '@mantine/core';
import type { DraftResponse } from '@syncline/contract';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import classes from './draft.module.css';
import type { LockState } from './use-draft-lock.js';

interface LockNoticeProps {
  readonly lock: LockState;
  readonly draft: DraftResponse;
  /** I chose to read on. */
  readonly hasStopped: boolean;
  readonly onTakeOver: () => void;
  readonly onTakeAgain: () => void;
}

/** Why the draft can only be read here, and what can be done about it. */
export function LockNotice({ lock, draft, hasStopped, onTakeOver, onTakeAgain }: LockNoticeProps) {
  if (lock.kind === 'failed') return <ProblemNotice error={lock.error} onRetry={onTakeAgain} />;
  if (lock.kind === 'held' && hasStopped) {
    return (
      <div className={classes.lockNotice}>
        You only read this draft now.
        <Button variant="default" size="xs" onClick={onTakeAgain}>
          Edit again
        </Button>
      </div>
    );
  }
  if (lock.kind !== 'other') {
    return (
      <div className={classes.lockNotice}>You read this draft; maintainers edit it. It shows what was saved last.</div>
    );
  }
  return (
    <div className={classes.lockNotice} role="status">
      <span>
        {draft.lock === null ? (
          lock.error.message
        ) : (
          <>
            {draft.lock.personName} is editing this draft; the right to do so lapses <Instant at={draft.lock.untilAt} />{' '}
            unless they go on.
          </>
        )}{' '}
        You see what was saved last, read anew every 15 s.
      </span>
      <Group gap="xs">
        <Button variant="default" size="xs" onClick={onTakeAgain}>
          Try to edit
        </Button>
        <Button variant="default" size="xs" onClick={onTakeOver}>
          Take it over
        </Button>
      </Group>
    </div>
  );
}
