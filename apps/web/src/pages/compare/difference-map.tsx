import type { CompareTablesResponse, LayoutDocument, PlatformDocument, TableDifference } from '@syncline/contract';
import { linkOptions } from '@tanstack/react-router';
import { useMemo } from 'react';
import { GridAndReadout } from '../../charts/grid-and-readout.js';
import { placeInside, placeOf } from '../../charts/grid-place.js';
import { csvFileName } from '../../format/csv.js';
import { digitsFor, formatChange } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { tableDigits, unitWord, variantWords } from '../revision/layout-words.js';
import { VariantTabs } from '../revision/variant-tabs.js';
import { ChangeSwitch } from './change-switch.js';
import classes from './compare.module.css';
import { labelOf } from './compared-content.js';
import { differenceCsvColumns, differenceCsvRows } from './difference-csv.js';
import { DifferenceGrid, DifferenceReadout, type GridDifference } from './difference-grid.js';
import { DifferenceProfiles } from './difference-profiles.js';
import { type DifferenceGroup, largestChanges } from './group-differences.js';
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
  const { search, change } = useCompareView();
  const labels: PairLabels = { base: labelOf(found.base), other: labelOf(found.other) };
  const shown = group.differences.find(({ variant }) => variant === search.variant) ?? group.differences[0];
  const difference = useMemo(
    () => (shown === undefined ? undefined : toGridDifference(shown, layout, platform)),
    [shown, layout, platform],
  );
  if (shown === undefined || difference === undefined) return null;
  const spec = layout.tables.find(({ id }) => id === group.tableId);
  const largest = placeOf(largestChanges(shown).largestAbsolute.position, difference.size);
  const place = placeInside(
    { row: search.row ?? largest.row, column: search.column ?? largest.column },
    difference.size,
  );
  const kind = search.change ?? 'absolute';
  return (
    <div className={classes.map}>
      <div className={classes.mapHead}>
        <h3>Change of {difference.name}</h3>
        <div className={classes.mapActions}>
          <ChangeSwitch unit={difference.unit} />
          <CsvButton
            fileName={csvFileName('compare', labels.base, labels.other, shown.tableId, shown.variant)}
            columns={differenceCsvColumns(difference, labels)}
            rows={differenceCsvRows(difference)}
          />
        </div>
      </div>
      <VariantTabs
        spec={spec ?? { repeat: 'once' }}
        variants={group.differences.map(({ variant }) => variant)}
        chosen={shown.variant}
        platform={platform}
        linkTo={(variant) =>
          linkOptions({
            to: '/compare',
            search: { ...search, table: group.tableId, variant, row: undefined, column: undefined },
          })
        }
        remark={(variant) => remarkOf(group.differences.find((one) => one.variant === variant))}
      />
      {shown.isResampled && (
        <p className={classes.small}>
          The break points differ: the values of {labels.base} are read off at those of {labels.other}.
        </p>
      )}
      <GridAndReadout
        grid={
          <DifferenceGrid
            difference={difference}
            kind={kind}
            labels={labels}
            chosen={place}
            onChoose={(chosen) => change(chosen)}
          />
        }
        readout={<DifferenceReadout difference={difference} labels={labels} place={place} />}
      >
        <DifferenceProfiles difference={difference} labels={labels} place={place} />
      </GridAndReadout>
    </div>
  );
}

/** Largest share of the base by which a variant differs, for its tab. */
function remarkOf(difference: TableDifference | undefined): string | undefined {
  if (difference === undefined) return undefined;
  const { largestAbsolute, largestPercent } = largestChanges(difference);
  if (largestPercent === null) return formatChange(largestAbsolute.absolute, unitWord(difference.unit));
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
