import { variantParts } from '@syncline/calibration';
import type { CommandedMapResponse, CompareTablesResponse, LayoutDocument, PlatformDocument } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { calibrationQueries } from '../../api/calibrations.js';
import { GridAndReadout } from '../../charts/grid-and-readout.js';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { nearestPlace } from '../revision/commanded-map.js';
import { CommandedNote } from '../revision/commanded-section.js';
import { conditionWords, mapQueryOf, type OperatingPoint, operatingPointOf } from '../revision/operating-point.js';
import { OperatingPointFields } from '../revision/operating-point-fields.js';
import { ChangeSwitch } from './change-switch.js';
import { commandedDifference } from './commanded-change.js';
import classes from './compare.module.css';
import type { CompareSearch } from './compare-search.js';
import { keyOf, labelOf } from './compared-content.js';
import { differenceCsvColumns, differenceCsvRows } from './difference-csv.js';
import { DifferenceGrid, DifferenceReadout } from './difference-grid.js';
import { DifferenceProfiles } from './difference-profiles.js';
import type { PairLabels } from './pair-labels.js';
import { useCompareView } from './use-compare-view.js';

interface CommandedDifferenceProps {
  readonly found: CompareTablesResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
}

/** How the commanded quantity changed over load and input speed: all differing tables taken together. */
export function CommandedDifference({ found, layout, platform }: CommandedDifferenceProps) {
  const { search, change } = useCompareView();
  const shown = shownParts(found, layout, search);
  const point = operatingPointOf(layout, platform, {
    ...search,
    shift: search.shift ?? shown.shift,
    program: search.program ?? shown.program,
  });
  const query = point === undefined ? { rule: '' } : mapQueryOf(point);
  const enabled = point !== undefined;
  const base = useQuery({ ...calibrationQueries.commandedMap(keyOf(found.base), query), enabled });
  const other = useQuery({ ...calibrationQueries.commandedMap(keyOf(found.other), query), enabled });
  if (point === undefined) return null;
  return (
    <Section title="Change of the commanded quantity" note={<CommandedNote point={point} layout={layout} />}>
      <div className={classes.commanded}>
        <OperatingPointFields layout={layout} platform={platform} point={point} onChange={change} hasPlace={false} />
        <QueryView query={base} skeleton={<BlockSkeleton height={300} />}>
          {(baseMap) => (
            <QueryView query={other} skeleton={<BlockSkeleton height={300} />}>
              {(otherMap) => (
                <div style={{ opacity: base.isPlaceholderData || other.isPlaceholderData ? 0.5 : 1, minWidth: 0 }}>
                  <ChangedMap
                    maps={[baseMap, otherMap]}
                    point={point}
                    conditions={conditionWords(point, platform)}
                    labels={{ base: labelOf(found.base), other: labelOf(found.other) }}
                  />
                </div>
              )}
            </QueryView>
          )}
        </QueryView>
      </div>
    </Section>
  );
}

/** Shift and program of the map that is looked at are those asked for, unless the address names others. */
function shownParts(
  { differences }: CompareTablesResponse,
  layout: LayoutDocument,
  { table, variant }: CompareSearch,
): { readonly shift?: string; readonly program?: string } {
  const shown = differences.find(({ tableId }) => tableId === table) ?? differences[0];
  const spec = layout.tables.find(({ id }) => id === shown?.tableId);
  const asked = variant ?? shown?.variant;
  return spec === undefined || asked === undefined ? {} : variantParts(spec, asked);
}

interface ChangedMapProps {
  readonly maps: readonly [base: CommandedMapResponse, other: CommandedMapResponse];
  readonly point: OperatingPoint;
  readonly conditions: string;
  readonly labels: PairLabels;
}

function ChangedMap({ maps: [base, other], point, conditions, labels }: ChangedMapProps) {
  const { search, change } = useCompareView();
  const difference = useMemo(() => commandedDifference(base, other), [base, other]);
  if (difference === undefined) {
    return <p>Their break points differ, so the maps cannot be laid over each other.</p>;
  }
  const place = nearestPlace(other, point);
  return (
    <>
      <div className={classes.mapHead}>
        <h3>
          Change of {difference.name.toLowerCase()}: {conditions}
        </h3>
        <div className={classes.mapActions}>
          <ChangeSwitch unit={difference.unit} />
          <CsvButton
            fileName={csvFileName(
              'compare',
              labels.base,
              labels.other,
              point.rule.id,
              point.shift,
              point.program,
              `${point.fluidTemperature}-C`,
            )}
            columns={differenceCsvColumns(difference, labels)}
            rows={differenceCsvRows(difference)}
          />
        </div>
      </div>
      <GridAndReadout
        grid={
          <DifferenceGrid
            difference={difference}
            kind={search.change ?? 'absolute'}
            labels={labels}
            chosen={place}
            onChoose={({ row, column }) => change({ load: other.load[row], speed: other.inputSpeed[column] })}
          />
        }
        readout={<DifferenceReadout difference={difference} labels={labels} place={place} />}
      >
        <DifferenceProfiles difference={difference} labels={labels} place={place} />
      </GridAndReadout>
    </>
  );
}
