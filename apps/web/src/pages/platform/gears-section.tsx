import type { PlatformResponse } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { formatNumber } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Section } from '../../parts/section.js';

type Platform = PlatformResponse['platform'];
type Gear = Platform['gears'][number];

const COLUMNS: readonly DataColumn<Gear>[] = [
  { id: 'gear', title: 'Gear', isNumber: true, render: ({ gear }) => gear },
  { id: 'ratio', title: 'Ratio', unit: 'to 1', isNumber: true, render: ({ ratio }) => formatNumber(ratio, 3) },
  { id: 'applied', title: 'Applied', render: ({ applied }) => applied.join(', ') || '–' },
];

const CSV_COLUMNS = [
  { header: 'gear', cell: ({ gear }: Gear) => gear },
  { header: 'ratio (to 1)', cell: ({ ratio }: Gear) => ratio },
  { header: 'applied', cell: ({ applied }: Gear) => applied.join(' ') },
];

/** Gears with their ratios and clutches, and what the control unit can do. */
export function GearsSection({ platform }: { readonly platform: Platform }) {
  return (
    <Section
      title="Gears"
      note={`Clutches: ${platform.clutches.map(({ id, title }) => `${id} (${title})`).join(', ') || 'none named'}. Programs: ${platform.programs.map(({ title }) => title).join(', ')}. Shifts: ${platform.shifts.map(({ id }) => id).join(', ')}.`}
      actions={<CsvButton fileName={csvFileName(platform.id, 'gears')} columns={CSV_COLUMNS} rows={platform.gears} />}
    >
      <DataTable label="Gears" columns={COLUMNS} rows={platform.gears} rowId={({ gear }) => String(gear)} />
    </Section>
  );
}
