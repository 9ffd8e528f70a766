import type { ReleaseDownload, ReleaseResponse } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { Section } from '../../parts/section.js';
import { FORMAT_WORDS } from './release-words.js';

/** Every file that left for a car, with what it was. */
export function DownloadsSection({ release }: { readonly release: ReleaseResponse }) {
  return (
    <Section
      title="Downloads"
      actions={
        <CsvButton
          fileName={csvFileName('downloads', release.revisionLabel)}
          columns={CSV_COLUMNS}
          rows={release.downloads}
        />
      }
    >
      {release.downloads.length === 0 ? (
        'Nobody has downloaded it yet.'
      ) : (
        <DataTable label="Downloads" columns={COLUMNS} rows={release.downloads} rowId={({ id }) => id} />
      )}
    </Section>
  );
}

const formatWords = (format: string) => FORMAT_WORDS[format as keyof typeof FORMAT_WORDS] ?? format;

const COLUMNS: readonly DataColumn<ReleaseDownload>[] = [
  { id: 'at', title: 'At', render: ({ at }) => <Instant at={at} /> },
  { id: 'person', title: 'By', render: ({ personName }) => personName },
  { id: 'car', title: 'For', render: ({ vehicleTitle }) => vehicleTitle },
  { id: 'what', title: 'What', render: ({ revisionLabel, format }) => `${revisionLabel}, ${formatWords(format)}` },
  {
    id: 'content',
    title: 'Content hash',
    render: ({ contentHash }) => <code title={contentHash}>{contentHash.slice(0, 12)}…</code>,
  },
  {
    id: 'file',
    title: 'SHA-256 of the file',
    render: ({ fileSha256 }) => <code title={fileSha256}>{fileSha256.slice(0, 12)}…</code>,
  },
];

const CSV_COLUMNS = [
  { header: 'at', cell: ({ at }: ReleaseDownload) => at },
  { header: 'by', cell: ({ personName }: ReleaseDownload) => personName },
  { header: 'car', cell: ({ vehicleTitle }: ReleaseDownload) => vehicleTitle },
  { header: 'revision', cell: ({ revisionLabel }: ReleaseDownload) => revisionLabel },
  { header: 'format', cell: ({ format }: ReleaseDownload) => format },
  { header: 'content hash', cell: ({ contentHash }: ReleaseDownload) => contentHash },
  { header: 'file SHA-256', cell: ({ fileSha256 }: ReleaseDownload) => fileSha256 },
];
