import type { CaptureCheck, VehicleResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { vehicleQueries } from '../../api/vehicles.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted, formatCount, formatNumber } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';
import { CaptureCheckView } from '../../parts/capture-check.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { VerdictMark } from '../../parts/state-mark.js';
import { TextLink } from '../../parts/text-link.js';
import { useDialectTitles } from '../../parts/use-dialect-titles.js';

/** Every bus capture of a car with what its check says; the newest in full. Absent until there is one. */
export function ChecksSection({ vehicle }: { readonly vehicle: VehicleResponse }) {
  const dialect = useQuery(vehicleQueries.dialect(vehicle.id));
  const { titleOf } = useDialectTitles(vehicle.platformId);
  const checks = dialect.data?.checks ?? [];
  const [newest] = checks;
  if (newest === undefined) return null;
  return (
    <Section
      title={counted(checks.length, 'check of a bus capture', 'checks of bus captures')}
      note={`The newest in full, from ${newest.fileName}. The page of each capture shows its own.`}
      actions={<CsvButton fileName={csvFileName('checks', vehicle.title)} columns={CSV_COLUMNS} rows={checks} />}
    >
      <QueryView query={dialect}>
        {() => (
          <>
            <CaptureCheckView check={newest} titleOf={titleOf} />
            <DataTable
              label="Checks of bus captures"
              columns={columns(titleOf)}
              rows={checks}
              rowId={(check) => check.logId}
            />
          </>
        )}
      </QueryView>
    </Section>
  );
}

const agreementOf = ({ scores }: CaptureCheck) => scores[0]?.agreement ?? null;

function columns(titleOf: (dialectId: string | null) => string): readonly DataColumn<CaptureCheck>[] {
  return [
    {
      id: 'file',
      title: 'Capture',
      render: ({ logId, fileName }) => (
        <TextLink to="/logs/$logId" params={{ logId }}>
          {fileName}
        </TextLink>
      ),
    },
    { id: 'uploaded', title: 'Uploaded', render: ({ uploadedAt }) => <Instant at={uploadedAt} /> },
    { id: 'length', title: 'Length', isNumber: true, render: ({ durationS }) => formatDuration(durationS) },
    { id: 'frames', title: 'Frames', isNumber: true, render: ({ frames }) => formatCount(frames) },
    {
      id: 'nearest',
      title: 'Nearest dialect',
      render: ({ scores }) => (scores[0] === undefined ? 'none known' : titleOf(scores[0].dialect)),
    },
    {
      id: 'agreement',
      title: 'Identifiers that agree',
      unit: '%',
      isNumber: true,
      render: (check) => formatNumber(percentOf(agreementOf(check)), 0),
    },
    { id: 'declared', title: 'Declared then', render: ({ declaredDialect }) => titleOf(declaredDialect) },
    { id: 'verdict', title: 'Verdict', render: ({ verdict }) => <VerdictMark verdict={verdict} /> },
  ];
}

function percentOf(share: number | null): number | null {
  return share === null ? null : 100 * share;
}

const CSV_COLUMNS: readonly CsvColumn<CaptureCheck>[] = [
  { header: 'log', cell: ({ logId }) => logId },
  { header: 'file', cell: ({ fileName }) => fileName },
  { header: 'uploaded at', cell: ({ uploadedAt }) => uploadedAt },
  { header: 'checked at', cell: ({ checkedAt }) => checkedAt },
  { header: 'bus', cell: ({ busInterface }) => busInterface },
  { header: 'length (s)', cell: ({ durationS }) => durationS },
  { header: 'frames', cell: ({ frames }) => frames },
  { header: 'identifiers', cell: ({ identifierCount }) => identifierCount },
  { header: 'declared then', cell: ({ declaredDialect }) => declaredDialect },
  { header: 'observed', cell: ({ observed }) => observed },
  { header: 'nearest dialect', cell: ({ scores }) => scores[0]?.dialect ?? null },
  { header: 'agreement (share)', cell: agreementOf },
  { header: 'lead (log-likelihood)', cell: ({ margin }) => margin },
  { header: 'verdict', cell: ({ verdict }) => verdict },
  { header: 'reason', cell: ({ reason }) => reason },
];
