import { mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { unitQueries } from '../../api/control-units.js';
import { useSession } from '../../api/session.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable } from '../../parts/data-table.js';
import { HelpTerm } from '../../parts/help-term.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import type { ControlUnitsSearch } from './control-units-search.js';
import { EnterUnit } from './enter-unit.js';
import { QueueSection } from './queue-section.js';
import { RecallsSection } from './recalls-section.js';
import { CSV_COLUMNS, unitColumns } from './unit-columns.js';
import { UnitDetail } from './unit-detail.js';

/** Control units as things: where each is, which are recalled, and who waits for one. */
export function ControlUnitsPage() {
  const search = useSearch({ from: '/house/control-units' });
  const navigate = useNavigate();
  const { role } = useSession().person;
  const query = useQuery(unitQueries.list());
  const go = (change: ControlUnitsSearch) =>
    void navigate({ to: '/control-units', search: { ...search, ...change }, resetScroll: false });
  const seesAll = mayDo(role, 'unit:read');
  return (
    <>
      <PageHead
        title={seesAll ? 'Control units' : 'My units'}
        lead={
          <>
            Where each <HelpTerm term="controlUnit">control unit</HelpTerm> is, and what it says of itself.
          </>
        }
      />
      <Section
        title={query.data === undefined ? 'Units' : counted(query.data.items.length, 'unit')}
        actions={
          <CsvButton fileName={csvFileName('control-units')} columns={CSV_COLUMNS} rows={query.data?.items ?? []} />
        }
      >
        <QueryView
          query={query}
          isEmpty={({ items }) => items.length === 0}
          empty={
            seesAll
              ? 'No unit is entered yet.'
              : 'No unit is entered for you. A maintainer enters it when it is handed out.'
          }
        >
          {({ items }) => (
            <DataTable
              label="Control units"
              columns={unitColumns((unit) => go({ unit }))}
              rows={items}
              rowId={({ id }) => id}
              chosenRowId={search.unit}
            />
          )}
        </QueryView>
      </Section>
      {search.unit !== undefined && (
        <UnitDetail key={search.unit} unitId={search.unit} onClose={() => go({ unit: undefined })} />
      )}
      {mayDo(role, 'unit:write') && <EnterUnit />}
      {seesAll && <RecallsSection search={search} onChange={go} mayRecall={mayDo(role, 'unit:write')} />}
      {mayDo(role, 'application:read') && <QueueSection />}
    </>
  );
}
