import { Button } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { type CalibrationSummary, mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';
import { useSession } from '../../api/session.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { formatCount } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { TextLink } from '../../parts/text-link.js';
import { NewCalibration } from './new-calibration.js';

const COLUMNS: readonly DataColumn<CalibrationSummary>[] = [
  {
    id: 'title',
    title: 'Calibration',
    render: ({ id, title }) => (
      <TextLink to="/calibrations/$calibrationId" params={{ calibrationId: id }}>
        {title}
      </TextLink>
    ),
  },
  { id: 'platform', title: 'Gearbox', render: ({ platformTitle }) => platformTitle },
  { id: 'revisions', title: 'Revisions', isNumber: true, render: ({ revisionCount }) => formatCount(revisionCount) },
  {
    id: 'newest',
    title: 'Newest',
    isNumber: true,
    render: ({ newestRevisionNumber }) => (newestRevisionNumber === null ? 'none' : `r${newestRevisionNumber}`),
  },
  {
    id: 'vehicles',
    title: 'Cars that run it',
    isNumber: true,
    render: ({ vehicleCount }) => formatCount(vehicleCount),
  },
  { id: 'created', title: 'Begun', render: ({ createdAt }) => <Instant at={createdAt} precision="day" /> },
];

const CSV_COLUMNS: readonly CsvColumn<CalibrationSummary>[] = [
  { header: 'calibration', cell: ({ id }) => id },
  { header: 'title', cell: ({ title }) => title },
  { header: 'gearbox', cell: ({ platformTitle }) => platformTitle },
  { header: 'revisions', cell: ({ revisionCount }) => revisionCount },
  { header: 'newest revision', cell: ({ newestRevisionNumber }) => newestRevisionNumber },
  { header: 'vehicles', cell: ({ vehicleCount }) => vehicleCount },
  { header: 'begun at', cell: ({ createdAt }) => createdAt },
];

/** All calibrations of the club. */
export function CalibrationsPage() {
  const calibrations = useQuery(calibrationQueries.list());
  const { role } = useSession().person;
  const mayWrite = mayDo(role, 'calibration:write');
  const [isOpen, form] = useDisclosure(false);
  return (
    <>
      <PageHead
        title="Calibrations"
        lead={
          <>
            Each is a named line of <HelpTerm term="revision">revisions</HelpTerm> on a{' '}
            <HelpTerm term="platform">gearbox</HelpTerm>.
          </>
        }
        actions={
          <>
            <CsvButton
              fileName={csvFileName('calibrations')}
              columns={CSV_COLUMNS}
              rows={calibrations.data?.items ?? []}
            />
            {mayWrite && <Button onClick={form.open}>New calibration</Button>}
          </>
        }
      />
      <QueryView
        query={calibrations}
        isEmpty={({ items }) => items.length === 0}
        empty={
          <EmptyState
            title="No calibration yet"
            action={mayWrite && <Button onClick={form.open}>New calibration</Button>}
          >
            A calibration holds the maps of one gearbox in revisions that never change once made.
          </EmptyState>
        }
      >
        {({ items }) => <DataTable label="Calibrations" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
      {mayWrite && <NewCalibration isOpen={isOpen} onClose={form.close} />}
    </>
  );
}
