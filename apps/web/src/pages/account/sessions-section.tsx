import { Button } from '@mantine/core';
import type { OwnSession } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { accountQueries, useEndSession } from '../../api/account.js';
import { clientWords } from '../../format/client-words.js';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';

const COLUMNS: readonly DataColumn<OwnSession>[] = [
  {
    id: 'client',
    title: 'Browser',
    render: ({ client, isCurrent }) => (
      <span title={client}>
        {clientWords(client)}
        {isCurrent && <strong> (this one)</strong>}
      </span>
    ),
  },
  { id: 'started', title: 'Signed in', render: ({ startedAt }) => <Instant at={startedAt} /> },
  { id: 'used', title: 'Last used', render: ({ lastUsedAt }) => <Instant at={lastUsedAt} /> },
  { id: 'expires', title: 'Ends at the latest', render: ({ expiresAt }) => <Instant at={expiresAt} precision="day" /> },
  { id: 'end', title: 'End', render: (session) => (session.isCurrent ? 'by signing out' : <EndButton {...session} />) },
];

const CSV_COLUMNS = [
  { header: 'browser', cell: ({ client }: OwnSession) => client },
  { header: 'signed in at', cell: ({ startedAt }: OwnSession) => startedAt },
  { header: 'last used at', cell: ({ lastUsedAt }: OwnSession) => lastUsedAt },
  { header: 'ends at', cell: ({ expiresAt }: OwnSession) => expiresAt },
  { header: 'this one', cell: ({ isCurrent }: OwnSession) => (isCurrent ? 'yes' : 'no') },
];

/** Where a person is signed in, to end what she does not know. */
export function SessionsSection() {
  const sessions = useQuery(accountQueries.sessions());
  const rows = sessions.data?.items ?? [];
  return (
    <Section
      title="Sign-ins"
      note="Browsers in which you are signed in, by what they say of themselves. End one that you do not know, and choose a new password."
      actions={<CsvButton fileName={csvFileName('sign-ins')} columns={CSV_COLUMNS} rows={rows} />}
    >
      <QueryView query={sessions}>
        {({ items }) => <DataTable label="Your sign-ins" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
    </Section>
  );
}

function EndButton({ id, client }: OwnSession) {
  const end = useEndSession();
  return (
    <>
      <Button
        size="compact-xs"
        variant="default"
        loading={end.isPending}
        aria-label={`End the sign-in of ${clientWords(client)}`}
        onClick={() => end.mutate(id)}
      >
        End
      </Button>
      {end.error !== null && <ProblemNotice error={end.error} />}
    </>
  );
}
