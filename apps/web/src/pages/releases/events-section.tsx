import type { ReleaseEvent, ReleaseResponse } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { Section } from '../../parts/section.js';
import { EVENT_WORDS } from './release-words.js';

/** Everything that happened to a release; nothing of it is ever changed. */
export function EventsSection({ release }: { readonly release: ReleaseResponse }) {
  const rows = [...release.events].reverse();
  return (
    <Section
      title="History"
      actions={<CsvButton fileName={csvFileName('events', release.revisionLabel)} columns={CSV_COLUMNS} rows={rows} />}
    >
      <DataTable label="History of the release" columns={COLUMNS} rows={rows} rowId={({ id }) => id} />
    </Section>
  );
}

const COLUMNS: readonly DataColumn<ReleaseEvent>[] = [
  { id: 'at', title: 'At', isShort: true, render: ({ at }) => <Instant at={at} /> },
  { id: 'what', title: 'What', isShort: true, render: ({ kind }) => EVENT_WORDS[kind] },
  { id: 'stage', title: 'Stage', isNumber: true, render: ({ stage }) => stage + 1 },
  { id: 'by', title: 'By', render: ({ byName }) => byName },
  { id: 'why', title: 'Why, or which car', render: ({ reason }) => reason || '–' },
];

const CSV_COLUMNS = [
  { header: 'at', cell: ({ at }: ReleaseEvent) => at },
  { header: 'what', cell: ({ kind }: ReleaseEvent) => kind },
  { header: 'stage', cell: ({ stage }: ReleaseEvent) => stage + 1 },
  { header: 'by', cell: ({ byName }: ReleaseEvent) => byName },
  { header: 'why', cell: ({ reason }: ReleaseEvent) => reason },
];
