import type { BusSignalDocument } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { platformQueries, useSetBusSignals } from '../../api/platforms.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { identifierText } from './identifier-text.js';
import { JsonListEditor } from './json-list-editor.js';

interface DialectPartProps {
  readonly platformId: string;
  readonly dialect: { readonly id: string; readonly title: string };
  readonly mayWrite: boolean;
}

const textOf = ({ identifier, extended }: BusSignalDocument) => identifierText(identifier, extended ?? false);
const selectorText = ({ multiplexer }: BusSignalDocument) =>
  multiplexer === undefined
    ? null
    : `bits ${multiplexer.startBit}, ${multiplexer.length} long, ${multiplexer.byteOrder}: ${multiplexer.value}`;

const COLUMNS: readonly DataColumn<BusSignalDocument>[] = [
  { id: 'name', title: 'Signal', render: ({ name }) => name },
  { id: 'identifier', title: 'Identifier', isShort: true, render: (signal) => <code>{textOf(signal)}</code> },
  { id: 'start', title: 'Start bit', isNumber: true, render: ({ startBit }) => startBit },
  { id: 'length', title: 'Length', unit: 'bit', isNumber: true, render: ({ length }) => length },
  { id: 'order', title: 'Byte order', render: ({ byteOrder }) => byteOrder },
  {
    id: 'sign',
    title: 'Signed',
    distinct: ({ signed }) => String(signed),
    render: ({ signed }) => (signed ? 'yes' : 'no'),
  },
  { id: 'scale', title: 'Scale', isNumber: true, render: ({ scale }) => scale },
  { id: 'offset', title: 'Offset', isNumber: true, distinct: ({ offset }) => offset, render: ({ offset }) => offset },
  { id: 'unit', title: 'Unit', render: ({ unit }) => unit || '–' },
  { id: 'selector', title: 'Only where', distinct: selectorText, render: (signal) => selectorText(signal) ?? '–' },
];

const CSV_COLUMNS: readonly CsvColumn<BusSignalDocument>[] = [
  { header: 'signal', cell: ({ name }) => name },
  { header: 'identifier (hexadecimal)', cell: textOf },
  { header: 'start bit', cell: ({ startBit }) => startBit },
  { header: 'length (bit)', cell: ({ length }) => length },
  { header: 'byte order', cell: ({ byteOrder }) => byteOrder },
  { header: 'signed', cell: ({ signed }) => String(signed) },
  { header: 'scale', cell: ({ scale }) => scale },
  { header: 'offset', cell: ({ offset }) => offset },
  { header: 'unit', cell: ({ unit }) => unit },
  { header: 'only where', cell: selectorText },
  { header: 'no value (raw)', cell: ({ noValueRaw }) => noValueRaw?.join(' ') ?? null },
];

const EXAMPLE = `[
  {
    "name": "turbine speed", "identifier": 464, "startBit": 0, "length": 16,
    "byteOrder": "little", "signed": false, "scale": 0.25, "offset": 0, "unit": "rpm"
  }
]`;

/** By which list the frames of a dialect are read, and the editor for it. */
export function SignalListSection({ platformId, dialect, mayWrite }: DialectPartProps) {
  const query = useQuery(platformQueries.signals(platformId, dialect.id));
  const save = useSetBusSignals(platformId, dialect.id);
  const list = query.data?.list ?? null;
  const rows = list?.signals ?? [];
  return (
    <Section
      title={<HelpTerm term="busSignals">{`Bus signals of the ${dialect.title}`}</HelpTerm>}
      note={
        list === null ? (
          'Captures of cars that speak it wait until a list is there.'
        ) : (
          <>
            List {list.version} with {counted(list.signals.length, 'signal')}, entered by {list.byName},{' '}
            <Instant at={list.enteredAt} />. A new list is read with from then on; captures that waited or failed are
            read again.
          </>
        )
      }
      actions={
        <CsvButton fileName={csvFileName(platformId, dialect.id, 'signals')} columns={CSV_COLUMNS} rows={rows} />
      }
    >
      <QueryView
        query={query}
        isEmpty={({ list: found }) => found === null}
        empty={
          <EmptyState title="No signal list yet">Without it no bus capture of this dialect can be read.</EmptyState>
        }
      >
        {() => (
          <DataTable
            label={`Bus signals of the ${dialect.title}`}
            columns={COLUMNS}
            rows={rows}
            rowId={({ name }) => name}
          />
        )}
      </QueryView>
      {mayWrite && (
        <JsonListEditor
          what="signal list"
          help="A JSON array. Bits are numbered 8·byte + bit, bit 0 the lowest of its byte; startBit is the lowest bit of the field in little and the highest in big byte order. value = raw · scale + offset. Optional: extended, multiplexer { startBit, length, byteOrder, value }, noValueRaw."
          example={EXAMPLE}
          current={list?.signals ?? null}
          save={save}
          savedWord="Saved as a new version. Captures that waited are read again."
        />
      )}
    </Section>
  );
}
