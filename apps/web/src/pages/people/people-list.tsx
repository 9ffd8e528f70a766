import type { Person } from '@syncline/contract';
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

const COLUMNS: readonly DataColumn<Person>[] = [
  { id: 'name', title: 'Name', render: (person) => person.name },
  { id: 'role', title: 'Role', render: (person) => ROLE_WORDS[person.role] },
  { id: 'email', title: 'E-mail address', render: (person) => person.email },
  { id: 'since', title: 'Since', render: (person) => <Instant at={person.createdAt} precision="day" /> },
];

const CSV_COLUMNS = [
  { header: 'name', cell: (person: Person) => person.name },
  { header: 'role', cell: (person: Person) => person.role },
  { header: 'email', cell: (person: Person) => person.email },
  { header: 'since', cell: (person: Person) => person.createdAt },
];

export function PeopleList() {
  const people = useQuery(peopleQueries.list());
  const rows = people.data?.items ?? [];
  return (
    <Section
      title={people.data === undefined ? 'Members' : counted(people.data.totalCount, 'member')}
      actions={<CsvButton fileName={csvFileName('people')} columns={CSV_COLUMNS} rows={rows} />}
    >
      <QueryView query={people}>
        {({ items }) => <DataTable label="Members" columns={COLUMNS} rows={items} rowId={(person) => person.id} />}
      </QueryView>
    </Section>
  );
}
