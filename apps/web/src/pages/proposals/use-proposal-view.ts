import { useNavigate, useParams, useSearch } from '@tanstack/react-router';
import type { ProposalSearch } from './proposal-search.js';

/** What the address of the Proposal page says, and the way to change it. Moves within a grid replace the entry. */
export function useProposalView() {
  const { proposalId } = useParams({ from: '/house/proposals/$proposalId' });
  const search = useSearch({ from: '/house/proposals/$proposalId' });
  const navigate = useNavigate();
  const change = (part: Partial<ProposalSearch>) =>
    void navigate({
      to: '/proposals/$proposalId',
      params: { proposalId },
      search: { ...search, ...part },
      replace: true,
      resetScroll: false,
    });
  return { proposalId, search, change };
}
