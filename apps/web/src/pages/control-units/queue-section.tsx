import { Button } from '@mantine/core';
import { mayDo, type UnitQueueResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { unitQueries, useSetUnitWait } from '../../api/control-units.js';
import { useSession } from '../../api/session.js';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ApplicationStateMark } from '../../parts/state-mark.js';
import { TextLink } from '../../parts/text-link.js';

type Wait = UnitQueueResponse['items'][number];

/** Applicants who cannot begin before there is a unit for them. */
export function QueueSection() {
  const query = useQuery(unitQueries.queue());
  const { role } = useSession().person;
  const mayChange = mayDo(role, 'application:write');
  return (
    <Section
      title="Waiting for a unit"
      note="Who waits longest first. An application is put here on the Recruitment page."
      actions={<CsvButton fileName={csvFileName('unit-queue')} columns={CSV_COLUMNS} rows={query.data?.items ?? []} />}
    >
      <QueryView query={query} isEmpty={({ items }) => items.length === 0} empty="Nobody waits.">
        {({ items }) => (
          <DataTable
            label="Applicants who wait for a unit"
            columns={mayChange ? [...COLUMNS, DONE] : COLUMNS}
            rows={items}
            rowId={({ applicationId }) => applicationId}
          />
        )}
      </QueryView>
    </Section>
  );
}

const COLUMNS: readonly DataColumn<Wait>[] = [
  { id: 'since', title: 'Since', isShort: true, render: ({ since }) => <Instant at={since} precision="day" /> },
  {
    id: 'name',
    title: 'Applicant',
    render: ({ name, state }) => (
      <TextLink to="/recruitment" search={{ state }}>
        {name}
      </TextLink>
    ),
  },
  { id: 'car', title: 'Car', render: ({ car }) => car },
  { id: 'platform', title: 'Gearbox', render: ({ platformTitle }) => platformTitle ?? 'not known' },
  { id: 'state', title: 'Application', render: ({ state }) => <ApplicationStateMark state={state} /> },
];

const DONE: DataColumn<Wait> = {
  id: 'done',
  title: 'Got one',
  render: ({ applicationId }) => <WaitButton applicationId={applicationId} waits />,
};

/** Puts an application into the queue, or takes it out. */
export function WaitButton({ applicationId, waits }: { readonly applicationId: string; readonly waits: boolean }) {
  const setWait = useSetUnitWait(applicationId);
  return (
    <Button size="compact-sm" variant="default" loading={setWait.isPending} onClick={() => setWait.mutate(!waits)}>
      {waits ? 'Waits no longer' : 'Waits for a unit'}
    </Button>
  );
}

const CSV_COLUMNS = [
  { header: 'since', cell: ({ since }: Wait) => since },
  { header: 'applicant', cell: ({ name }: Wait) => name },
  { header: 'car', cell: ({ car }: Wait) => car },
  { header: 'gearbox', cell: ({ platformTitle }: Wait) => platformTitle },
  { header: 'application', cell: ({ state }: Wait) => state },
];
