import { Button } from '@mantine/core';
import { mayDo, type ProposalResponse } from '@syncline/contract';
import { usePreviewProposal } from '../../api/proposals.js';
import { useSession } from '../../api/session.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { BenchSection } from './bench-result.js';

/** The proposal on simulated cars. */
export function PreviewSection({ proposal }: { readonly proposal: ProposalResponse }) {
  const { role } = useSession().person;
  const run = usePreviewProposal(proposal.id);
  const { preview, baseRevisionNumber } = proposal;
  return (
    <BenchSection
      preview={preview}
      fileParts={[`r${baseRevisionNumber}`]}
      lead={`Before is r${baseRevisionNumber} as it is, after is with the whole proposal.`}
      actions={
        mayDo(role, 'calibration:write') &&
        preview.kind === 'none' && (
          <Button variant="default" size="compact-sm" fw={500} loading={run.isPending} onClick={() => run.mutate()}>
            Try it on simulated cars
          </Button>
        )
      }
    >
      {run.error !== null && <ProblemNotice error={run.error} />}
    </BenchSection>
  );
}
