import { type DraftResponse, type LayoutDocument, mayDo, type PlatformDocument } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { useState } from 'react';
import { draftQueries } from '../../api/drafts.js';
import { platformQueries } from '../../api/platforms.js';
import { useSession } from '../../api/session.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import { DraftCrumbs } from './draft-head.js';
import { DraftWorkbench } from './draft-workbench.js';
import { LockNotice } from './lock-notice.js';
import { useDraftEditor } from './use-draft-editor.js';
import { useDraftLock } from './use-draft-lock.js';

/** How often a draft that somebody else edits is read anew (ms). */
const READER_REFRESH_MS = 15_000;

/** A draft: all tables of a revision to come, edited in place. */
export function DraftPage() {
  const { draftId } = useParams({ from: '/house/drafts/$draftId' });
  return <DraftOf key={draftId} draftId={draftId} />;
}

function DraftOf({ draftId }: { readonly draftId: string }) {
  const { role } = useSession().person;
  const [hasStopped, setStopped] = useState(false);
  const { lock, takeOver, takeAgain } = useDraftLock(draftId, mayDo(role, 'calibration:write'));
  const isEditing = !hasStopped && (lock.kind === 'held' || (lock.kind === 'other' && lock.wasHeld));
  // While it is edited here the page is ahead of the server; for readers the server is ahead of the page.
  const query = useQuery({
    ...draftQueries.one(draftId),
    refetchOnWindowFocus: !isEditing,
    refetchInterval: isEditing ? false : READER_REFRESH_MS,
  });
  if (query.data === undefined || lock.kind === 'taking') {
    return (
      <>
        <PageHead title="Draft" crumbs={<TextLink to="/calibrations">Calibrations</TextLink>} />
        <QueryView query={query} skeleton={<BlockSkeleton height={480} />}>
          {() => <BlockSkeleton height={480} />}
        </QueryView>
      </>
    );
  }
  const draft = query.data;
  const key = isEditing ? 'editing' : `reading ${draft.version}`;
  return (
    <LoadedDraft
      key={key}
      draft={draft}
      isReadOnly={!isEditing}
      notice={
        isEditing ? null : (
          <LockNotice
            lock={lock}
            draft={draft}
            hasStopped={hasStopped}
            onTakeOver={() => {
              setStopped(false);
              void takeOver();
            }}
            onTakeAgain={() => {
              setStopped(false);
              void takeAgain();
            }}
          />
        )
      }
      isTakenOver={lock.kind === 'other' && lock.wasHeld}
      onStop={() => setStopped(true)}
      onRegained={() => void takeAgain()}
    />
  );
}

interface LoadedDraftProps {
  readonly draft: DraftResponse;
  readonly isReadOnly: boolean;
  readonly notice: React.ReactNode;
  readonly isTakenOver: boolean;
  readonly onStop: () => void;
  readonly onRegained: () => void;
}

/** What can only be edited with the layout and the platform that the draft is for. */
function LoadedDraft(props: LoadedDraftProps) {
  const { draft } = props;
  const layout = useQuery(platformQueries.layout(draft.platformId, draft.layoutVersion));
  const platform = useQuery(platformQueries.one(draft.platformId));
  if (layout.data === undefined || platform.data === undefined) {
    return (
      <>
        <PageHead title={draft.title} crumbs={<DraftCrumbs draft={draft} />} />
        {layout.error === null ? (
          <QueryView query={platform} skeleton={<BlockSkeleton height={480} />}>
            {() => <BlockSkeleton height={480} />}
          </QueryView>
        ) : (
          <QueryView query={layout}>{() => null}</QueryView>
        )}
      </>
    );
  }
  return <EditedDraft {...props} layout={layout.data.layout} platform={platform.data.platform} />;
}

interface EditedDraftProps extends LoadedDraftProps {
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
}

function EditedDraft({ notice, isTakenOver, onStop, onRegained, ...options }: EditedDraftProps) {
  const editor = useDraftEditor(options);
  if (editor === undefined) {
    return (
      <>
        <PageHead title={options.draft.title} crumbs={<DraftCrumbs draft={options.draft} />} />
        <EmptyState title="This draft has no table">Its layout has none, or its content lacks it.</EmptyState>
      </>
    );
  }
  return (
    <DraftWorkbench editor={editor} notice={notice} isTakenOver={isTakenOver} onStop={onStop} onRegained={onRegained} />
  );
}
