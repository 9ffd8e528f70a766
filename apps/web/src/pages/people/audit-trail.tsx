import { Button, Code, Group } from '@mantine/core';
import type { AuditEntry } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { AUDIT_PAGE_SIZE, auditFileUrl, auditQueries } from '../../api/audit.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { Pager } from '../../parts/pager.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { AuditFilters } from './audit-filters.js';
import { ChainState } from './chain-state.js';
import { ChangedFields } from './changed-fields.js';
import { LongText } from './long-text.js';
import classes from './people.module.css';
import type { PeopleSearch } from './people-search.js';

const COLUMNS: readonly DataColumn<AuditEntry>[] = [
  { id: 'id', title: 'Entry', isNumber: true, render: (entry) => entry.id },
  { id: 'at', title: 'When', render: (entry) => <Instant at={entry.at} /> },
  { id: 'who', title: 'Who', render: (entry) => entry.actorName },
  { id: 'action', title: 'What', render: (entry) => <Code>{entry.action}</Code> },
  { id: 'target', title: 'On', isShort: true, render: (entry) => <ShortId id={entry.target} /> },
  {
    id: 'detail',
    title: 'Detail',
    render: (entry) => (
      <div>
        <div className={classes.detail}>
          <LongText text={entry.detail} />
        </div>
        <ChangedFields before={entry.before} after={entry.after} />
      </div>
    ),
  },
  {
    id: 'request',
    title: 'Request',
    isShort: true,
    render: (entry) => <ShortId id={entry.requestId} />,
    distinct: (entry) => entry.requestId || null,
  },
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

interface AuditTrailProps {
  readonly search: PeopleSearch;
  readonly onChange: (change: PeopleSearch) => void;
}

/** Every change, who made it and when; entries are never altered. */
export function AuditTrail({ search, onChange }: AuditTrailProps) {
  const { who, subject, action, from, until, audit: cursor, auditPage: page = 1 } = search;
  const filter = { person: who, target: subject, action, from, until };
  const entries = useQuery(auditQueries.list(filter, cursor));
  const firstPage = { audit: undefined, auditPage: undefined };
  return (
    <Section
      title="Audit trail"
      note="Every change, newest first, with the fields that it changed before and after. Entries cannot be altered or removed: each carries a hash over itself and the one before."
      actions={
        <Group gap="xs">
          <CsvButton href={auditFileUrl('csv', filter)} />
          <Button
            component="a"
            href={auditFileUrl('jsonl', {})}
            download
            variant="default"
            size="compact-sm"
            fw={500}
            title="Every entry, to be checked without this server by npm run verify:audit"
          >
            Download all as JSON lines
          </Button>
        </Group>
      }
    >
      <ChainState />
      <AuditFilters search={search} onChange={(change) => onChange({ ...firstPage, ...change })} />
      <QueryView query={entries} isEmpty={(data) => data.items.length === 0} empty="No entry is like that.">
        {({ items, nextCursor, totalCount }) => (
          <>
            <DataTable label="Audit trail" columns={COLUMNS} rows={items} rowId={(entry) => String(entry.id)} />
            <Pager
              page={page}
              pageSize={AUDIT_PAGE_SIZE}
              totalCount={totalCount}
              shownCount={items.length}
              hasNext={nextCursor !== null}
              onNext={() => onChange({ audit: nextCursor ?? undefined, auditPage: page + 1 })}
              onFirst={() => onChange(firstPage)}
            />
          </>
        )}
      </QueryView>
    </Section>
  );
}
