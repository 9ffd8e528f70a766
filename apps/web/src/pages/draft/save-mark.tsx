import { Button } from '@mantine/core';
import { ApiProblem, Unreachable } from '../../api/api-problem.js';
import { Instant } from '../../parts/instant.js';
import { Mark } from '../../parts/mark.js';
import classes from './draft.module.css';
import type { SaveState } from './model/save-queue.js';

const TICK = 'M1.5 6.5 4.8 9.8 10.5 2.5';
const ARROW = 'M1 6H10M6.5 2.5 10 6 6.5 9.5';
const CROSS = 'M2 2 10 10M10 2 2 10';
const PEN = 'M2 10 3 7 8.5 1.5 10.5 3.5 5 9Z';

interface SaveMarkProps {
  readonly state: SaveState;
  readonly onRetry: () => void;
}

/** Whether the work is safe, in words. */
export function SaveMark({ state, onRetry }: SaveMarkProps) {
  return (
    <span className={classes.save} role="status">
      <SaveWords state={state} />
      {state.kind === 'failed' && state.isTriedAgain && (
        <Button variant="default" size="compact-xs" onClick={onRetry}>
          Try now
        </Button>
      )}
    </span>
  );
}

function SaveWords({ state }: { readonly state: SaveState }) {
  switch (state.kind) {
    case 'saved':
      return (
        <>
          <Mark word="Saved" path={TICK} isFilled={false} colour="--ink" /> <Instant at={state.at} />
        </>
      );
    case 'waiting':
      return <Mark word="Changed, not saved yet" path={PEN} isFilled={false} colour="--caution-ink" />;
    case 'saving':
      return <Mark word="Saving" path={ARROW} isFilled={false} colour="--accent-ink" />;
    case 'failed':
      return <Mark word={`Not saved: ${whyNotSaved(state)}`} path={CROSS} isFilled={false} colour="--fault" />;
    default:
      return state satisfies never;
  }
}

function whyNotSaved({ error, isTriedAgain }: Extract<SaveState, { kind: 'failed' }>): string {
  const again = isTriedAgain ? ' It is tried again by itself; keep this page open.' : '';
  if (error instanceof Unreachable) return `no answer from the server.${again}`;
  if (error instanceof ApiProblem) return `${error.document.title}.${again}`;
  return `something unexpected happened.${again}`;
}
