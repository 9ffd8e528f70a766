import { Switch } from '@mantine/core';
import type { CompareTablesResponse, LayoutDocument, PlatformDocument } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';
import { csvFileName } from '../../format/csv.js';
import { counted, formatCount } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable } from '../../parts/data-table.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { revisionLabel } from '../revision/revision-label.js';
import classes from './compare.module.css';
import { DifferenceMap } from './difference-map.js';
import { GROUP_CSV_COLUMNS, groupColumns } from './group-columns.js';
import { groupDifferences } from './group-differences.js';
import { useCompareView } from './use-compare-view.js';

interface MapsSectionProps {
  readonly found: CompareTablesResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
}

/** The tables that differ, and the one that is looked at as a difference map. */
export function MapsSection({ found, layout, platform }: MapsSectionProps) {
  const { search, change } = useCompareView();
  const { base, other, differences, equalTableCount } = found;
  const groups = groupDifferences(differences);
  const shown = groups.find(({ tableId }) => tableId === search.table) ?? groups[0];
  const isAll = search.all === 1;
  return (
    <Section
      title="Maps"
      note={
        groups.length === 0
          ? 'Every table of both is equal.'
          : `${counted(groups.length, 'table differs', 'tables differ')}, largest relative change first; ${counted(equalTableCount, 'table or variant is', 'tables and variants are')} equal.`
      }
      actions={
        <>
          <Switch
            size="xs"
            label="List equal ones too"
            checked={isAll}
            onChange={(event) => change({ all: event.currentTarget.checked ? 1 : undefined })}
          />
          <CsvButton
            fileName={csvFileName('compare', revisionLabel(base), revisionLabel(other), 'tables')}
            columns={GROUP_CSV_COLUMNS}
            rows={groups}
          />
        </>
      }
    >
      {groups.length > 0 && (
        <DataTable
          label="Tables that differ"
          columns={groupColumns({ search, layout, platform })}
          rows={groups}
          rowId={({ tableId }) => tableId}
          chosenRowId={shown?.tableId}
        />
      )}
      {isAll && <EqualTables found={found} layout={layout} />}
      {shown !== undefined && <DifferenceMap found={found} group={shown} layout={layout} platform={platform} />}
    </Section>
  );
}

/** What did not change: tables with the number of their equal variants. */
function EqualTables({ found, layout }: Omit<MapsSectionProps, 'platform'>) {
  const { other, differences } = found;
  const revision = useQuery(calibrationQueries.revision(other.id));
  return (
    <QueryView query={revision}>
      {({ content }) => (
        <ul className={classes.equal} aria-label="Equal tables">
          {layout.tables.map(({ id, title }) => {
            const variants = Object.keys(content.tables[id]?.values ?? {});
            const differing = new Set(
              differences.filter(({ tableId }) => tableId === id).map(({ variant }) => variant),
            );
            const equal = variants.filter((variant) => !differing.has(variant));
            if (equal.length === 0) return null;
            return (
              <li key={id}>
                <TextLink
                  to="/revisions/$revisionId"
                  params={{ revisionId: other.id }}
                  search={{ table: id, variant: equal[0] }}
                >
                  {title}
                </TextLink>{' '}
                equal
                {variants.length > 1 && ` in ${formatCount(equal.length)} of ${variants.length}`}
              </li>
            );
          })}
        </ul>
      )}
    </QueryView>
  );
}
