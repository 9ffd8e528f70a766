import { Button } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { mayDo, type ProposalResponse } from '@syncline/contract';
import { useSession } from '../../api/session.js';
import { counted } from '../../format/quantity.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { changingNodes, type NodeChoice } from './node-choice.js';
import { STATE_WORDS } from './proposal-words.js';
import { RejectDialog } from './reject-dialog.js';
import { TakeDialog } from './take-dialog.js';

interface ProposalHeadProps {
  readonly proposal: ProposalResponse | undefined;
  readonly choice: NodeChoice;
}

/** What the proposal is about, what became of it, and what can be done with it. */
export function ProposalHead({ proposal, choice }: ProposalHeadProps) {
  if (proposal === undefined) {
    return <PageHead title="Proposal" crumbs={<TextLink to="/calibrations">Calibrations</TextLink>} />;
  }
  const { calibrationId, calibrationTitle, subject, baseRevisionNumber } = proposal;
  return (
    <PageHead
      title={`${subject.title}: proposal for r${baseRevisionNumber}`}
      crumbs={
        <>
          <TextLink to="/calibrations">Calibrations</TextLink> ›{' '}
          <TextLink to="/calibrations/$calibrationId" params={{ calibrationId }}>
            {calibrationTitle}
          </TextLink>
        </>
      }
      lead={<ProposalFacts proposal={proposal} />}
      actions={<Actions proposal={proposal} choice={choice} />}
    />
  );
}

function ProposalFacts({ proposal }: { readonly proposal: ProposalResponse }) {
  const { baseRevisionId, baseRevisionNumber, calibrationTitle, tally, isByItself, requestedByName, state } = proposal;
  return (
    <>
      <div>
        On{' '}
        <TextLink to="/revisions/$revisionId" params={{ revisionId: baseRevisionId }}>
          {calibrationTitle} r{baseRevisionNumber}
        </TextLink>{' '}
        · {isByItself ? 'made by the server because there was new evidence' : `asked for by ${requestedByName}`},{' '}
        <Instant at={proposal.requestedAt} /> · {STATE_WORDS[state]}
      </div>
      {tally !== null && (
        <div>
          {tally.raised} raised, {tally.lowered} lowered, {tally.left} left alone · from{' '}
          {counted(tally.shifts, 'shift')} by {counted(tally.vehicles, 'car')}
        </div>
      )}
      {proposal.decisions.map((decision) => (
        <div key={decision.decidedAt + decision.decision}>
          {decision.decision === 'rejected' ? (
            <>
              <strong>Rejected</strong> by {decision.byName}, <Instant at={decision.decidedAt} />: {decision.reason}
            </>
          ) : (
            <>
              {counted(decision.takenNodes, 'change')} taken by {decision.byName}, <Instant at={decision.decidedAt} />,
              into <DraftOrRevision decision={decision} />
            </>
          )}
        </div>
      ))}
    </>
  );
}

function DraftOrRevision({ decision }: { readonly decision: ProposalResponse['decisions'][number] }) {
  const { draftId, draftTitle, draftState, revisionId } = decision;
  if (revisionId !== null) {
    return (
      <TextLink to="/revisions/$revisionId" params={{ revisionId }}>
        the revision made of “{draftTitle}”
      </TextLink>
    );
  }
  if (draftState === 'discarded' || draftId === null) return <>“{draftTitle}”, which was discarded</>;
  return (
    <TextLink to="/drafts/$draftId" params={{ draftId }}>
      the draft “{draftTitle}”
    </TextLink>
  );
}

function Actions({ proposal, choice }: { readonly proposal: ProposalResponse; readonly choice: NodeChoice }) {
  const { role } = useSession().person;
  const [isTaking, take] = useDisclosure(false);
  const [isRejecting, reject] = useDisclosure(false);
  const { result, baseRevisionId } = proposal;
  const isRejected = proposal.decisions.some(({ decision }) => decision === 'rejected');
  const mayWrite = mayDo(role, 'calibration:write') && result !== null && !isRejected;
  const changing = changingNodes(result?.nodes ?? []);
  const taken = changing.filter(choice.isTaken);
  return (
    <>
      <ButtonLink variant="default" size="xs" to="/shifts" search={{ revision: baseRevisionId }}>
        The shifts behind it
      </ButtonLink>
      {mayWrite && (
        <>
          <Button variant="default" size="xs" onClick={reject.open}>
            Reject
          </Button>
          <Button size="xs" disabled={taken.length === 0} onClick={take.open}>
            {taken.length === changing.length
              ? 'Take all into a draft'
              : `Take ${taken.length} of ${changing.length} into a draft`}
          </Button>
          <TakeDialog
            proposal={proposal}
            taken={taken}
            total={changing.length}
            isOpen={isTaking}
            onClose={take.close}
          />
          <RejectDialog proposalId={proposal.id} isOpen={isRejecting} onClose={reject.close} />
        </>
      )}
    </>
  );
}
