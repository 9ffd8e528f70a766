import type { Token } from '@syncline/contract';
import type { CsvColumn } from '../format/csv.js';
import { SCOPE_WORDS } from '../format/scope-words.js';
import type { DataColumn } from './data-table.js';
import { Instant } from './instant.js';

function scopeText({ scopes }: Token): string {
  return scopes.map((scope) => SCOPE_WORDS[scope].title).join(', ');
}

/** What there is to know of a token; its secret is not among it. */
export const TOKEN_COLUMNS: readonly DataColumn<Token>[] = [
  { id: 'name', title: 'Program', render: (token) => token.name },
  { id: 'scopes', title: 'May', render: scopeText },
  { id: 'made', title: 'Made', render: (token) => <Instant at={token.createdAt} precision="day" /> },
  { id: 'used', title: 'Last used', render: ({ lastUsedAt }) => (lastUsedAt ? <Instant at={lastUsedAt} /> : 'never') },
  {
    id: 'expires',
    title: 'Expires',
    render: ({ expiresAt }) => (
      <>
        {new Date(expiresAt) < new Date() && 'expired '}
        <Instant at={expiresAt} precision="day" />
      </>
    ),
  },
];

export const TOKEN_CSV_COLUMNS: readonly CsvColumn<Token>[] = [
  { header: 'program', cell: (token) => token.name },
  { header: 'may', cell: scopeText },
  { header: 'made at', cell: (token) => token.createdAt },
  { header: 'last used at', cell: (token) => token.lastUsedAt },
  { header: 'expires at', cell: (token) => token.expiresAt },
];
