import { mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { proposalQueries } from '../../api/proposals.js';
import { useSession } from '../../api/session.js';
import { TextLink } from '../../parts/text-link.js';

/** Which proposal a draft or a revision took from; nothing where it is of another origin. */
export function ProposalOrigin({ of }: { readonly of: { readonly draft: string } | { readonly revision: string } }) {
  const { role } = useSession().person;
  const { data } = useQuery({ ...proposalQueries.origin(of), enabled: mayDo(role, 'evidence:read') });
  if (!data?.proposal) return null;
  const { id, subject, baseRevisionNumber } = data.proposal;
  return (
    <>
      {' '}
      · took from the{' '}
      <TextLink to="/proposals/$proposalId" params={{ proposalId: id }}>
        proposal “{subject.title} for r{baseRevisionNumber}”
      </TextLink>
    </>
  );
}
