import { Button } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { type CalibrationResponse, mayDo, type ProposalSummary } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { proposalQueries } from '../../api/proposals.js';
import { useSession } from '../../api/session.js';
import { counted } from '../../format/quantity.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { STATE_WORDS } from './proposal-words.js';
import classes from './proposals.module.css';
import { ProposeDialog } from './propose-dialog.js';

const COLUMNS: readonly DataColumn<ProposalSummary>[] = [
  {
    id: 'subject',
    title: 'Proposal',
    render: ({ id, subject, baseRevisionNumber }) => (
      <TextLink to="/proposals/$proposalId" params={{ proposalId: id }}>
        {subject.title} for r{baseRevisionNumber}
      </TextLink>
    ),
  },
  {
    id: 'asked',
    title: 'Asked for',
    render: ({ requestedAt, requestedByName, isByItself }) => (
      <>
        <Instant at={requestedAt} />, {isByItself ? 'by itself' : requestedByName}
      </>
    ),
  },
  {
    id: 'changes',
    title: 'Says',
    render: ({ tally, state, problem }) =>
      tally === null
        ? (problem ?? STATE_WORDS[state])
        : `${tally.raised} raised, ${tally.lowered} lowered, ${tally.left} left alone`,
  },
  {
    id: 'evidence',
    title: 'Evidence',
    render: ({ tally }) => tally && `${counted(tally.shifts, 'shift')}, ${counted(tally.vehicles, 'car')}`,
  },
  { id: 'became', title: 'What became of it', render: became },
];

function became({ state, decisions }: ProposalSummary): string {
  const last = decisions.at(-1);
  if (last === undefined) return state === 'ready' ? 'nothing yet' : STATE_WORDS[state].toLowerCase();
  if (last.decision === 'rejected') return `rejected by ${last.byName}: ${last.reason}`;
  const word = { open: 'open draft', made: 'made into a revision', discarded: 'draft discarded' }[
    last.draftState ?? 'open'
  ];
  return `${counted(last.takenNodes, 'change')} taken, ${word}`;
}

/** What the drives say that should change, newest first; and the way to ask. */
export function ProposalsSection({ calibration }: { readonly calibration: CalibrationResponse }) {
  const { role } = useSession().person;
  const [isAsking, asking] = useDisclosure(false);
  const query = useQuery({ ...proposalQueries.list(calibration.id), enabled: mayDo(role, 'evidence:read') });
  const mayAsk = mayDo(role, 'calibration:write') && query.data !== undefined;
  if (!mayDo(role, 'evidence:read')) return null;
  return (
    <Section
      title="Proposals"
      note="From the shifts of the whole fleet: what should change, how sure that is, and what is left alone. The server makes one by itself when there is new evidence."
      actions={
        mayAsk && (
          <Button variant="default" size="compact-sm" fw={500} onClick={asking.open}>
            Propose from drives
          </Button>
        )
      }
    >
      <QueryView
        query={query}
        isEmpty={({ items }) => items.length === 0}
        empty={<p className={classes.soft}>None yet.</p>}
      >
        {({ items }) => <DataTable label="Proposals" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
      {mayAsk && query.data && (
        <ProposeDialog calibration={calibration} known={query.data} isOpen={isAsking} onClose={asking.close} />
      )}
    </Section>
  );
}
