import type { ProposalResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { useState } from 'react';
import { calibrationQueries } from '../../api/calibrations.js';
import { platformQueries } from '../../api/platforms.js';
import { proposalQueries } from '../../api/proposals.js';
import { EmptyState } from '../../parts/empty-state.js';
import { QueryView } from '../../parts/query-view.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { useOncePainted } from '../../parts/use-once-painted.js';
import { ExpectedSection } from './expected-section.js';
import { InputsSection } from './inputs-section.js';
import { changingNodes, type NodeChoice, nodeKey } from './node-choice.js';
import { OddCarsSection } from './odd-cars-section.js';
import { PreviewSection } from './preview-section.js';
import { ProposalHead } from './proposal-head.js';
import { ProposalTables } from './proposal-tables.js';

/** One proposal: what should change and how sure that is, what it should bring, what it is made of, and what becomes of it. */
export function ProposalPage() {
  const { proposalId } = useParams({ from: '/house/proposals/$proposalId' });
  const query = useQuery(proposalQueries.one(proposalId));
  const choice = useNodeChoice();
  // What was found is drawn first; what it is made of comes after it.
  const hasFound = useOncePainted(!query.isPending);
  return (
    <>
      <ProposalHead proposal={query.data} choice={choice} />
      <QueryView query={query}>
        {(proposal) => (
          <>
            <Made proposal={proposal} choice={choice} isRestDue={hasFound} />
            {hasFound && <InputsSection proposal={proposal} />}
          </>
        )}
      </QueryView>
    </>
  );
}

/** All changes are taken until some are left out; the choice lasts as long as the page is open. */
function useNodeChoice(): NodeChoice {
  const [leftOut, setLeftOut] = useState<ReadonlySet<string>>(new Set());
  return {
    leftOut,
    isTaken: (node) => !leftOut.has(nodeKey(node)),
    set: (nodes, isTaken) =>
      setLeftOut((before) => {
        const after = new Set(before);
        for (const key of nodes.map(nodeKey)) {
          if (isTaken) after.delete(key);
          else after.add(key);
        }
        return after;
      }),
  };
}

interface MadeProps {
  readonly proposal: ProposalResponse;
  readonly choice: NodeChoice;
}

function Made({ proposal, choice, isRestDue }: MadeProps & { readonly isRestDue: boolean }) {
  if (proposal.state === 'waiting') {
    return (
      <EmptyState title="The proposal is being made">It takes some seconds; this page shows it by itself.</EmptyState>
    );
  }
  if (proposal.result === null) {
    return <EmptyState title="Nothing could be proposed">{proposal.problem}</EmptyState>;
  }
  return (
    <>
      <ProposalContent proposal={proposal} result={proposal.result} choice={choice} />
      <ExpectedSection proposal={proposal} rates={proposal.result.expectedRates} />
      <PreviewSection proposal={proposal} />
      {isRestDue && <OddCarsSection proposal={proposal} result={proposal.result} />}
    </>
  );
}

/** What can only be read with the base revision and its layout. */
function ProposalContent({
  proposal,
  result,
  choice,
}: MadeProps & { readonly result: NonNullable<ProposalResponse['result']> }) {
  const base = useQuery(calibrationQueries.revision(proposal.baseRevisionId));
  const layout = useQuery(platformQueries.layout(proposal.platformId, proposal.layoutVersion));
  const platform = useQuery(platformQueries.one(proposal.platformId));
  const isRejected = proposal.decisions.some(({ decision }) => decision === 'rejected');
  const canTake = !isRejected && changingNodes(result.nodes).length > 0;
  return (
    <QueryView query={base} skeleton={<BlockSkeleton height={420} />}>
      {(revision) => (
        <QueryView query={layout} skeleton={<BlockSkeleton height={420} />}>
          {({ layout: foundLayout }) => (
            <QueryView query={platform} skeleton={<BlockSkeleton height={420} />}>
              {({ platform: foundPlatform }) => (
                <ProposalTables
                  proposal={proposal}
                  nodes={result.nodes}
                  base={revision}
                  layout={foundLayout}
                  platform={foundPlatform}
                  choice={canTake ? choice : undefined}
                />
              )}
            </QueryView>
          )}
        </QueryView>
      )}
    </QueryView>
  );
}
