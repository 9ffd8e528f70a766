import { Button } from '@mantine/core';
import { type DraftPreviewResponse, mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { draftPreviewQuery, usePreviewDraft } from '../../api/proposals.js';
import { useSession } from '../../api/session.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { TextLink } from '../../parts/text-link.js';
import { BenchSection } from '../proposals/bench-result.js';
import classes from './draft.module.css';
import type { SaveQueue } from './model/save-queue.js';

interface DraftBenchProps {
  readonly draftId: string;
  readonly title: string;
  /** Of the content as the server has it. */
  readonly contentHash: string;
  /** Whether something is not saved yet. */
  readonly isAhead: boolean;
  readonly queue: SaveQueue;
}

/** The draft on simulated cars, before it becomes a revision. */
export function DraftBench(props: DraftBenchProps) {
  const { role } = useSession().person;
  const query = useQuery({ ...draftPreviewQuery(props.draftId), enabled: mayDo(role, 'evidence:read') });
  if (!mayDo(role, 'evidence:read')) return null;
  return <QueryView query={query}>{(found) => <Bench {...props} found={found} />}</QueryView>;
}

function Bench({
  draftId,
  title,
  contentHash,
  isAhead,
  queue,
  found,
}: DraftBenchProps & { readonly found: DraftPreviewResponse }) {
  const { role } = useSession().person;
  const run = usePreviewDraft(draftId);
  const { base, preview } = found;
  const isTried = preview.kind === 'preview' || preview.kind === 'impossible';
  const isOutdated = isTried && (isAhead || found.contentHash !== contentHash);
  const mayRun = mayDo(role, 'calibration:write') && base !== null && (preview.kind === 'none' || isTried);
  // What is tried is what the server has.
  const start = () => void queue.flush().then(() => run.mutate());
  return (
    <BenchSection
      preview={preview}
      fileParts={[title]}
      lead={
        base === null ? (
          'No revision that this draft comes from was driven, so that nothing is known of the cars.'
        ) : (
          <>
            Before is{' '}
            <TextLink to="/revisions/$revisionId" params={{ revisionId: base.revisionId }}>
              r{base.number}
            </TextLink>
            , the nearest revision that was driven, after is this draft.
          </>
        )
      }
      actions={
        mayRun && (
          <Button variant="default" size="compact-sm" fw={500} loading={run.isPending} onClick={start}>
            {isTried ? 'Try again' : 'Try it on simulated cars'}
          </Button>
        )
      }
    >
      {run.error !== null && <ProblemNotice error={run.error} />}
      {isOutdated && (
        <p className={classes.outdated}>
          <strong>Out of date:</strong> the draft was changed since it was tried.
        </p>
      )}
    </BenchSection>
  );
}
