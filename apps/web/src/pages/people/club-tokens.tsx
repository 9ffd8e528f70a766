import { Button } from '@mantine/core';
import type { ClubToken } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { tokenQueries, useRevokeClubToken } from '../../api/tokens.js';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TOKEN_COLUMNS, TOKEN_CSV_COLUMNS } from '../../parts/token-columns.js';

const CSV_COLUMNS = [{ header: 'person', cell: (token: ClubToken) => token.personName }, ...TOKEN_CSV_COLUMNS];

const COLUMNS: readonly DataColumn<ClubToken>[] = [
  { id: 'person', title: 'Acts for', render: (token) => token.personName },
  ...TOKEN_COLUMNS,
  { id: 'revoke', title: 'Revoke', render: (token) => <RevokeButton token={token} /> },
];

/** Every program that acts for somebody of the club, to be cut off when a computer is lost. */
export function ClubTokens() {
  const tokens = useQuery(tokenQueries.club());
  return (
    <Section
      title="API tokens"
      note="Programs that act for members. Each member makes them on the account page; here they can be cut off."
      actions={
        <CsvButton fileName={csvFileName('club-tokens')} columns={CSV_COLUMNS} rows={tokens.data?.items ?? []} />
      }
    >
      <QueryView query={tokens} isEmpty={({ items }) => items.length === 0} empty="Nobody has a token.">
        {({ items }) => <DataTable label="Tokens of the club" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
    </Section>
  );
}

function RevokeButton({ token }: { readonly token: ClubToken }) {
  const revoke = useRevokeClubToken();
  return (
    <>
      <Button
        size="compact-xs"
        variant="default"
        loading={revoke.isPending}
        aria-label={`Revoke ${token.name} of ${token.personName}`}
        onClick={() => revoke.mutate(token.id)}
      >
        Revoke
      </Button>
      {revoke.error !== null && <ProblemNotice error={revoke.error} />}
    </>
  );
}
