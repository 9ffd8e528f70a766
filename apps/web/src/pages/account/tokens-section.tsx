import { Button } from '@mantine/core';
import type { Token } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { tokenQueries, useRevokeToken } from '../../api/tokens.js';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TOKEN_COLUMNS, TOKEN_CSV_COLUMNS } from '../../parts/token-columns.js';
import { MakeToken } from './make-token.js';
import { TokenExample } from './token-example.js';

/** Tokens by which programs act for a person: make, list, revoke. */
export function TokensSection() {
  const tokens = useQuery(tokenQueries.own());
  const rows = tokens.data?.items ?? [];
  return (
    <Section
      title="API tokens"
      note="A program that sends drives or reads figures for you signs in with a token instead of your password. Give each program one of its own, for no more than it needs."
      actions={<CsvButton fileName={csvFileName('tokens')} columns={TOKEN_CSV_COLUMNS} rows={rows} />}
    >
      <MakeToken />
      <QueryView query={tokens} isEmpty={({ items }) => items.length === 0} empty="You have no tokens.">
        {({ items }) => <DataTable label="Your tokens" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
      <TokenExample />
    </Section>
  );
}

const COLUMNS: readonly DataColumn<Token>[] = [
  ...TOKEN_COLUMNS,
  { id: 'revoke', title: 'Revoke', render: (token) => <RevokeButton token={token} /> },
];

function RevokeButton({ token }: { readonly token: Token }) {
  const revoke = useRevokeToken();
  return (
    <>
      <Button
        size="compact-xs"
        variant="default"
        loading={revoke.isPending}
        aria-label={`Revoke ${token.name}`}
        onClick={() => revoke.mutate(token.id)}
      >
        Revoke
      </Button>
      {revoke.error !== null && <ProblemNotice error={revoke.error} />}
    </>
  );
}
