import { Switch } from '@mantine/core';
import { variantsOf } from '@syncline/calibration';
import type { CompareTablesResponse, LayoutDocument, PlatformDocument } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { counted, formatCount } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable } from '../../parts/data-table.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import classes from './compare.module.css';
import { isDraftSide, labelOf } from './compared-content.js';
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
            fileName={csvFileName('compare', labelOf(base), labelOf(other), 'tables')}
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
      {isAll && <EqualTables found={found} layout={layout} platform={platform} />}
      {shown !== undefined && <DifferenceMap found={found} group={shown} layout={layout} platform={platform} />}
    </Section>
  );
}

/** What did not change: tables with the number of their equal variants. */
function EqualTables({ found, layout, platform }: MapsSectionProps) {
  const { other, differences } = found;
  return (
    <ul className={classes.equal} aria-label="Equal tables">
      {layout.tables.map((spec) => {
        const variants = variantsOf(spec, platform);
        const differing = new Set(
          differences.filter(({ tableId }) => tableId === spec.id).map(({ variant }) => variant),
        );
        const equal = variants.filter((variant) => !differing.has(variant));
        if (equal.length === 0) return null;
        const search = { table: spec.id, variant: equal[0] };
        return (
          <li key={spec.id}>
            {isDraftSide(other) ? (
              <TextLink to="/drafts/$draftId" params={{ draftId: other.id }} search={search}>
                {spec.title}
              </TextLink>
            ) : (
              <TextLink to="/revisions/$revisionId" params={{ revisionId: other.id }} search={search}>
                {spec.title}
              </TextLink>
            )}{' '}
            equal
            {variants.length > 1 && ` in ${formatCount(equal.length)} of ${variants.length}`}
          </li>
        );
      })}
    </ul>
  );
}
