import { Button } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { mayDo, type RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';
import { useSession } from '../../api/session.js';
import { counted } from '../../format/quantity.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { BeginDialog } from '../calibration/begin-dialog.js';
import { ProposalOrigin } from '../proposals/origin-note.js';
import { ReviewMark } from '../review/review-mark.js';
import { ContentHash } from './content-hash.js';
import classes from './revision.module.css';
import { revisionLabel } from './revision-label.js';

/** Name, message, origin and hash of a revision, and what can be done with it. */
export function RevisionHead({ revision }: { readonly revision: RevisionResponse | undefined }) {
  if (revision === undefined) {
    return <PageHead title="Revision" crumbs={<TextLink to="/calibrations">Calibrations</TextLink>} />;
  }
  return <LoadedHead revision={revision} />;
}

function LoadedHead({ revision }: { readonly revision: RevisionResponse }) {
  const { role } = useSession().person;
  const calibration = useQuery(calibrationQueries.one(revision.calibrationId));
  const [isBeginning, dialog] = useDisclosure(false);
  const { id, calibrationId, calibrationTitle, parentId, reviewState } = revision;
  return (
    <PageHead
      title={revisionLabel(revision)}
      crumbs={
        <>
          <TextLink to="/calibrations">Calibrations</TextLink> ›{' '}
          <TextLink to="/calibrations/$calibrationId" params={{ calibrationId }}>
            {calibrationTitle}
          </TextLink>
        </>
      }
      lead={<RevisionFacts revision={revision} />}
      actions={
        <>
          {parentId !== null && (
            <ButtonLink variant="default" size="xs" to="/compare" search={{ base: parentId, other: id }}>
              Compare with parent
            </ButtonLink>
          )}
          <ButtonLink variant="default" size="xs" to="/shifts" search={{ revision: id }}>
            Its shifts
          </ButtonLink>
          {reviewState === 'approved' && mayDo(role, 'release:write') && (
            <ButtonLink variant="default" size="xs" to="/releases/new" search={{ revision: id }}>
              Release this revision
            </ButtonLink>
          )}
          {calibration.data !== undefined && (
            <BeginDialog
              calibration={calibration.data}
              beginning={isBeginning ? { kind: 'draft', revision } : null}
              onClose={dialog.close}
            />
          )}
          {mayDo(role, 'calibration:write') && (
            <Button size="xs" disabled={calibration.data === undefined} onClick={dialog.open}>
              New draft from it
            </Button>
          )}
        </>
      }
    />
  );
}

function RevisionFacts({ revision }: { readonly revision: RevisionResponse }) {
  return (
    <>
      <div className={classes.message}>{revision.message}</div>
      <div>
        A <HelpTerm term="revision">revision</HelpTerm> by {revision.authorName}, <Instant at={revision.createdAt} /> ·{' '}
        <Parent revision={revision} /> · hash <ContentHash hash={revision.contentHash} />
      </div>
      <div>
        <ReviewMark state={revision.reviewState} /> · line {revision.line} ·{' '}
        {counted(revision.vehicleCount, 'car runs it', 'cars run it')} now · {counted(revision.logCount, 'drive')},{' '}
        {counted(revision.shiftCount, 'shift')} · layout version {revision.layoutVersion}
        <ProposalOrigin of={{ revision: revision.id }} />
      </div>
    </>
  );
}

function Parent({ revision: { parentId, mergeParentId, revertsId } }: { readonly revision: RevisionResponse }) {
  if (parentId === null) return <>no parent: the first of its line</>;
  return (
    <>
      made from <RevisionName revisionId={parentId} />
      {mergeParentId !== null && (
        <>
          {' '}
          and <RevisionName revisionId={mergeParentId} />, merged
        </>
      )}
      {revertsId !== null && (
        <>
          , brings <RevisionName revisionId={revertsId} /> back
        </>
      )}
    </>
  );
}

/** Another revision by its label, as soon as that is known. */
function RevisionName({ revisionId }: { readonly revisionId: string }) {
  const { data } = useQuery(calibrationQueries.revision(revisionId));
  return (
    <TextLink to="/revisions/$revisionId" params={{ revisionId }}>
      {data === undefined ? 'a revision' : revisionLabel(data)}
    </TextLink>
  );
}
