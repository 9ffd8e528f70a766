import { Button } from '@mantine/core';
import type { RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { calibrationQueries, revisionContentUrl } from '../../api/calibrations.js';
import { counted } from '../../format/quantity.js';
import { MapsCaution } from '../../parts/caution.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { ContentHash } from './content-hash.js';
import classes from './revision.module.css';
import { revisionLabel } from './revision-label.js';

/** Name, message, origin and hash of a revision, and what can be done with it. */
export function RevisionHead({ revision }: { readonly revision: RevisionResponse | undefined }) {
  if (revision === undefined) {
    return <PageHead title="Revision" crumbs={<TextLink to="/calibrations">Calibrations</TextLink>} />;
  }
  const { id, calibrationId, calibrationTitle, parentId } = revision;
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
      cautions={<MapsCaution />}
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
          <Button
            component="a"
            variant="default"
            size="xs"
            href={revisionContentUrl(id)}
            download={`${revisionLabel(revision).replaceAll(' ', '-')}.json`}
          >
            Content as JSON
          </Button>
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
        {counted(revision.vehicleCount, 'car runs it', 'cars run it')} now · {counted(revision.logCount, 'drive')},{' '}
        {counted(revision.shiftCount, 'shift')} · layout version {revision.layoutVersion}
      </div>
    </>
  );
}

function Parent({ revision: { parentId } }: { readonly revision: RevisionResponse }) {
  const parent = useQuery({ ...calibrationQueries.revision(parentId ?? ''), enabled: parentId !== null });
  if (parentId === null) return <>no parent: the first of its line</>;
  return (
    <>
      made from{' '}
      <TextLink to="/revisions/$revisionId" params={{ revisionId: parentId }}>
        {parent.data === undefined ? 'its parent' : revisionLabel(parent.data)}
      </TextLink>
    </>
  );
}
