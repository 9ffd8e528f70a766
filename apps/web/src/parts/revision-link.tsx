import { mayDo } from '@syncline/contract';
import { useSession } from '../api/session.js';
import { TextLink } from './text-link.js';

interface RevisionLinkProps {
  readonly revisionId: string | null;
  readonly label: string | null;
}

/** Name of a revision, as a link for those who may read calibrations. */
export function RevisionLink({ revisionId, label }: RevisionLinkProps) {
  const { role } = useSession().person;
  if (revisionId === null) return <span>none known</span>;
  if (!mayDo(role, 'calibration:read')) return <span>{label ?? revisionId}</span>;
  return (
    <TextLink to="/revisions/$revisionId" params={{ revisionId }}>
      {label ?? revisionId}
    </TextLink>
  );
}
