import { useQuery } from '@tanstack/react-query';
import { logQueries } from '../../api/logs.js';
import { counted } from '../../format/quantity.js';
import { DataTable } from '../../parts/data-table.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { LOG_COLUMNS } from '../logs/log-columns.js';

const SHOWN = 10;

interface LogsSectionProps {
  readonly vehicleId: string;
  readonly mayWrite: boolean;
}

/** The newest drives of a car. */
export function LogsSection({ vehicleId, mayWrite }: LogsSectionProps) {
  const logs = useQuery(logQueries.list({ vehicle: vehicleId, limit: SHOWN }));
  return (
    <Section
      title={logs.data === undefined ? 'Drives' : counted(logs.data.totalCount, 'drive')}
      actions={
        <>
          <TextLink to="/logs" search={{ vehicle: vehicleId }}>
            All drives
          </TextLink>
          {mayWrite && (
            <ButtonLink size="compact-sm" variant="default" to="/logs/upload" search={{ vehicle: vehicleId }}>
              Upload
            </ButtonLink>
          )}
        </>
      }
    >
      <QueryView query={logs} isEmpty={({ items }) => items.length === 0} empty="No drive has been uploaded yet.">
        {({ items }) => (
          <DataTable
            label="Newest drives"
            columns={LOG_COLUMNS.filter(({ id }) => id !== 'vehicle')}
            rows={items}
            rowId={(log) => log.id}
          />
        )}
      </QueryView>
    </Section>
  );
}
