import { Code } from '@mantine/core';
import type { auditPage } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import type { z } from 'zod';
import { peopleQueries } from '../../api/people.js';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { Pager } from '../../parts/pager.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import classes from './people.module.css';

type AuditEntry = z.infer<typeof auditPage>['items'][number];
const PAGE_SIZE = 50;

const COLUMNS: readonly DataColumn<AuditEntry>[] = [
  { id: 'at', title: 'When', render: (entry) => <Instant at={entry.at} /> },
  { id: 'who', title: 'Who', render: (entry) => entry.actorName },
  { id: 'action', title: 'What', render: (entry) => <Code>{entry.action}</Code> },
  { id: 'target', title: 'On', isShort: true, render: (entry) => <ShortId id={entry.target} /> },
  {
    id: 'detail',
    title: 'Detail',
    render: (entry) => <span className={classes.detail}>{entry.detail}</span>,
    distinct: (entry) => entry.detail || null,
  },
  {
    id: 'request',
    title: 'Request',
    isShort: true,
    render: (entry) => <ShortId id={entry.requestId} />,
    distinct: (entry) => entry.requestId || null,
  },
];

const CSV_COLUMNS = [
  { header: 'at', cell: (entry: AuditEntry) => entry.at },
  { header: 'actor', cell: (entry: AuditEntry) => entry.actorName },
  { header: 'action', cell: (entry: AuditEntry) => entry.action },
  { header: 'target', cell: (entry: AuditEntry) => entry.target },
  { header: 'detail', cell: (entry: AuditEntry) => entry.detail },
  { header: 'request', cell: (entry: AuditEntry) => entry.requestId },
];

const SHOWN_ID_CHARACTERS = 8;

/** The end of a long id, which is the part that differs; hover gives all of it, the download too. */
function ShortId({ id }: { readonly id: string }) {
  const [kind, rest] = id.includes(':') ? (id.split(':', 2) as [string, string]) : ['', id];
  const end = rest.length > SHOWN_ID_CHARACTERS ? `…${rest.slice(-SHOWN_ID_CHARACTERS)}` : rest;
  return (
    <span title={id}>
      {kind} {end}
    </span>
  );
}

/** Every change, who made it and when; entries are never altered. */
export function AuditTrail() {
  const { audit: cursor, auditPage: page = 1 } = useSearch({ from: '/house/people' });
  const navigate = useNavigate();
  const entries = useQuery(peopleQueries.audit(cursor));
  return (
    <Section
      title="Audit trail"
      note="Every change, newest first. Entries cannot be altered or removed."
      actions={
        <CsvButton
          fileName={csvFileName('audit', page > 1 ? `page-${page}` : '')}
          columns={CSV_COLUMNS}
          rows={entries.data?.items ?? []}
        />
      }
    >
      <QueryView query={entries} isEmpty={(data) => data.items.length === 0} empty="Nothing has been changed yet.">
        {({ items, nextCursor, totalCount }) => (
          <>
            <DataTable label="Audit trail" columns={COLUMNS} rows={items} rowId={(entry) => String(entry.id)} />
            <Pager
              page={page}
              pageSize={PAGE_SIZE}
              totalCount={totalCount}
              shownCount={items.length}
              hasNext={nextCursor !== null}
              onNext={() =>
                void navigate({ to: '/people', search: { audit: nextCursor ?? undefined, auditPage: page + 1 } })
              }
              onFirst={() => void navigate({ to: '/people', search: {} })}
            />
          </>
        )}
      </QueryView>
    </Section>
  );
}
