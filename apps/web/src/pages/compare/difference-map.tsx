import type {
  CompareTablesResponse,
  LayoutDocument,
  PlatformDocument,
  TableChange,
  TableDifference,
} from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { linkOptions } from '@tanstack/react-router';
import { useMemo } from 'react';
import { calibrationQueries } from '../../api/calibrations.js';
import { GridAndReadout } from '../../charts/grid-and-readout.js';
import { placeInside, placeOf } from '../../charts/grid-place.js';
import { csvFileName } from '../../format/csv.js';
import { digitsFor, formatChange } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { QueryView } from '../../parts/query-view.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { tableDigits, unitWord, variantWords } from '../revision/layout-words.js';
import { VariantTabs } from '../revision/variant-tabs.js';
import { ChangeSwitch } from './change-switch.js';
import classes from './compare.module.css';
import { keyOf, labelOf } from './compared-content.js';
import { differenceCsvColumns, differenceCsvRows } from './difference-csv.js';
import { DifferenceGrid, DifferenceReadout, type GridDifference } from './difference-grid.js';
import { DifferenceProfiles } from './difference-profiles.js';
import type { DifferenceGroup } from './group-differences.js';
import type { PairLabels } from './pair-labels.js';
import { useCompareView } from './use-compare-view.js';

interface DifferenceMapProps {
  readonly found: CompareTablesResponse;
  readonly group: DifferenceGroup;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
}

/** One variant of a differing table as a difference map, with both revisions along its axes. */
export function DifferenceMap({ found, group, layout, platform }: DifferenceMapProps) {
  const { search } = useCompareView();
  const shown = group.differences.find(({ variant }) => variant === search.variant) ?? group.differences[0];
  const variant = shown?.variant ?? '';
  const query = useQuery(
    calibrationQueries.compareTable(keyOf(found.base), keyOf(found.other), group.tableId, variant),
  );
  const spec = layout.tables.find(({ id }) => id === group.tableId);
  const short = spec === undefined ? variant : variantWords(spec, variant, platform).short;
  return (
    <div className={classes.map}>
      <div className={classes.mapHead}>
        <h3>Change of {[group.title, short].filter(Boolean).join(' ')}</h3>
      </div>
      <VariantTabs
        spec={spec ?? { repeat: 'once' }}
        variants={group.differences.map((one) => one.variant)}
        chosen={variant}
        platform={platform}
        linkTo={(chosen) =>
          linkOptions({
            to: '/compare',
            search: { ...search, table: group.tableId, variant: chosen, row: undefined, column: undefined },
          })
        }
        remark={(chosen) => remarkOf(group.differences.find((one) => one.variant === chosen))}
      />
      <QueryView query={query} skeleton={<BlockSkeleton height={420} />}>
        {(cells) => (
          <div style={{ opacity: query.isPlaceholderData ? 0.5 : 1, minWidth: 0 }}>
            <VariantMap cells={cells} found={found} layout={layout} platform={platform} />
          </div>
        )}
      </QueryView>
    </div>
  );
}

interface VariantMapProps extends Omit<DifferenceMapProps, 'group'> {
  readonly cells: TableDifference;
}

function VariantMap({ cells, found, layout, platform }: VariantMapProps) {
  const { search, change } = useCompareView();
  const labels: PairLabels = { base: labelOf(found.base), other: labelOf(found.other) };
  const difference = useMemo(() => toGridDifference(cells, layout, platform), [cells, layout, platform]);
  const largest = placeOf(cells.largestAbsolute.position, difference.size);
  const place = placeInside(
    { row: search.row ?? largest.row, column: search.column ?? largest.column },
    difference.size,
  );
  return (
    <>
      <div className={classes.mapHead}>
        <div className={classes.mapActions}>
          <ChangeSwitch unit={difference.unit} />
          <CsvButton
            fileName={csvFileName('compare', labels.base, labels.other, cells.tableId, cells.variant)}
            columns={differenceCsvColumns(difference, labels)}
            rows={differenceCsvRows(difference)}
          />
        </div>
      </div>
      {cells.isResampled && (
        <p className={classes.small}>
          The break points differ: the values of {labels.base} are read off at those of {labels.other}.
        </p>
      )}
      <GridAndReadout
        grid={
          <DifferenceGrid
            difference={difference}
            kind={search.change ?? 'absolute'}
            labels={labels}
            chosen={place}
            onChoose={(chosen) => change(chosen)}
          />
        }
        readout={<DifferenceReadout difference={difference} labels={labels} place={place} />}
      >
        <DifferenceProfiles difference={difference} labels={labels} place={place} />
      </GridAndReadout>
    </>
  );
}

/** Largest share of the base by which a variant differs, for its tab. */
function remarkOf(change: TableChange | undefined): string | undefined {
  if (change === undefined) return undefined;
  const { largestAbsolute, largestPercent, unit } = change;
  if (largestPercent === null) return formatChange(largestAbsolute.absolute, unitWord(unit));
  return formatChange(largestPercent.percent, '%', 0);
}

function toGridDifference(
  { tableId, variant, title, unit, axes, baseValues, otherValues, absolute, percent }: TableDifference,
  layout: LayoutDocument,
  platform: PlatformDocument,
): GridDifference {
  const spec = layout.tables.find(({ id }) => id === tableId);
  const [rowAxis, columnAxis] = axes.length === 2 ? axes : [undefined, axes[0]];
  const short = spec === undefined ? variant : variantWords(spec, variant, platform).short;
  return {
    name: [title, short].filter(Boolean).join(' '),
    rowAxis,
    columnAxis,
    size: { rows: rowAxis?.breakpoints.length ?? 1, columns: columnAxis?.breakpoints.length ?? 1 },
    base: baseValues,
    other: otherValues,
    absolute,
    percent,
    unit: unitWord(unit),
    digits: spec === undefined ? digitsFor(unitWord(unit)) : tableDigits(spec),
  };
}
