import { Button } from '@mantine/core';
import { type Person, TERMS_VERSION } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { peopleQueries } from '../../api/people.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { ROLE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { MemberMark, OnOffMark } from '../../parts/state-mark.js';

const COLUMNS: readonly DataColumn<Person>[] = [
  { id: 'name', title: 'Name', render: (person) => person.name },
  { id: 'role', title: 'Role', render: (person) => ROLE_WORDS[person.role] },
  { id: 'email', title: 'E-mail address', render: (person) => person.email },
  { id: 'since', title: 'Since', render: (person) => <Instant at={person.createdAt} precision="day" /> },
  { id: 'state', title: 'State', render: (person) => <MemberMark isSuspended={person.suspendedAt !== null} /> },
  { id: 'factor', title: 'Second factor', render: (person) => <OnOffMark isOn={person.hasSecondFactor} /> },
  { id: 'terms', title: 'Terms agreed to', render: (person) => <Terms person={person} /> },
];

const CSV_COLUMNS = [
  { header: 'name', cell: (person: Person) => person.name },
  { header: 'role', cell: (person: Person) => person.role },
  { header: 'email', cell: (person: Person) => person.email },
  { header: 'since', cell: (person: Person) => person.createdAt },
  { header: 'suspended at', cell: (person: Person) => person.suspendedAt },
  { header: 'second factor', cell: (person: Person) => (person.hasSecondFactor ? 'on' : 'off') },
  { header: 'terms version', cell: (person: Person) => person.consentVersion },
  { header: 'terms agreed at', cell: (person: Person) => person.consentAt },
];

/** Members; with `onManage`, each with a way to what can be done about her account. */
export function PeopleList({ onManage }: { readonly onManage: ((personId: string) => void) | undefined }) {
  const people = useQuery(peopleQueries.list());
  const rows = people.data?.items ?? [];
  const columns: readonly DataColumn<Person>[] =
    onManage === undefined
      ? COLUMNS
      : [
          ...COLUMNS,
          { id: 'manage', title: 'Account', render: (person) => <ManageButton {...{ person, onManage }} /> },
        ];
  return (
    <Section
      title={people.data === undefined ? 'Members' : counted(people.data.totalCount, 'member')}
      actions={<CsvButton fileName={csvFileName('people')} columns={CSV_COLUMNS} rows={rows} />}
    >
      <QueryView query={people}>
        {({ items }) => <DataTable label="Members" columns={columns} rows={items} rowId={(person) => person.id} />}
      </QueryView>
    </Section>
  );
}

function Terms({ person: { consentVersion, consentAt } }: { readonly person: Person }) {
  if (consentVersion === 0) return <span>not yet</span>;
  return (
    <span>
      version {consentVersion}
      {consentVersion !== TERMS_VERSION && ` of ${TERMS_VERSION}`}, <Instant at={consentAt} precision="day" />
    </span>
  );
}

interface ManageButtonProps {
  readonly person: Person;
  readonly onManage: (personId: string) => void;
}

function ManageButton({ person, onManage }: ManageButtonProps) {
  return (
    <Button
      size="compact-xs"
      variant="default"
      aria-label={`Manage the account of ${person.name}`}
      onClick={() => onManage(person.id)}
    >
      Manage
    </Button>
  );
}
