import type { LogSummary } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { logQueries } from '../../api/logs.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { LogProgress } from '../../parts/log-progress.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { LogOutcome } from './log-outcome.js';

const SHOWN = 10;

const COLUMNS: readonly DataColumn<LogSummary>[] = [
  {
    id: 'file',
    title: 'File',
    render: (log) => (
      <TextLink to="/logs/$logId" params={{ logId: log.id }}>
        {log.fileName}
      </TextLink>
    ),
  },
  { id: 'uploaded', title: 'Uploaded', render: (log) => <Instant at={log.uploadedAt} /> },
  { id: 'state', title: 'State', render: (log) => <LogProgress log={log} /> },
  { id: 'outcome', title: 'Outcome', render: (log) => <LogOutcome log={log} /> },
];

/** What the server has of a car already, so that a refreshed or closed page is no loss. */
export function RecentUploads({ vehicleId }: { readonly vehicleId: string }) {
  const logs = useQuery(logQueries.list({ vehicle: vehicleId, limit: SHOWN }));
  return (
    <Section
      title="On the server"
      note="The newest drives of this car, finished or not."
      actions={
        <TextLink to="/logs" search={{ vehicle: vehicleId }}>
          All drives of this car
        </TextLink>
      }
    >
      <QueryView
        query={logs}
        isEmpty={({ items }) => items.length === 0}
        empty="No drive of this car has been uploaded yet."
      >
        {({ items }) => (
          <DataTable label="Drives on the server" columns={COLUMNS} rows={items} rowId={(log) => log.id} />
        )}
      </QueryView>
    </Section>
  );
}
