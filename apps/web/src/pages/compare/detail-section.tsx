import { SegmentedControl } from '@mantine/core';
import {
  type Band,
  type CompareDetailResponse,
  type CompareOutcomesResponse,
  outcomeMeasure,
} from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';
import { fleetQueries } from '../../api/fleet.js';
import { RampKey } from '../../charts/ramp-key.js';
import { csvFileName } from '../../format/csv.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { divergingColour } from '../../theme/palette.js';
import { useScheme } from '../../theme/use-scheme.js';
import { SORT_OF_MEASURE } from '../fleet/fleet-view.js';
import { hasLimits } from '../fleet/matrix-figure.js';
import { revisionLabel } from '../revision/revision-label.js';
import classes from './compare.module.css';
import { pointsWords } from './effect-words.js';
import { Forest } from './forest.js';
import type { ComparedVehicle } from './forest-row.js';
import { reachOfParts } from './outcome-reach.js';
import { type ComparedPart, PART_CSV_COLUMNS, PartTable } from './part-table.js';
import { useCompareView } from './use-compare-view.js';

interface DetailSectionProps {
  readonly outcomes: CompareOutcomesResponse;
}

/** One measure taken apart: by shift, by load, by car. */
export function DetailSection({ outcomes: { base, other } }: DetailSectionProps) {
  const { search, change } = useCompareView();
  const measure = search.measure ?? 'flare';
  const query = useQuery(calibrationQueries.compareDetail(base.id, other.id, measure));
  const loadBands = useQuery(fleetQueries.coverage({ platform: other.platformId })).data?.loadBands ?? [];
  const parts = query.data === undefined ? undefined : partsOf(query.data, loadBands);
  const file = (part: string) => csvFileName('compare', revisionLabel(base), revisionLabel(other), measure, part);
  return (
    <Section
      title={`${MEASURE_WORDS[measure]} taken apart`}
      note="Each part has a figure of its own, from fewer shifts: intervals are wider, and among many parts one or two stand out by chance."
      actions={
        <SegmentedControl
          size="xs"
          aria-label="Measure that is taken apart"
          value={measure}
          onChange={(value) => change({ measure: value as typeof measure })}
          data={outcomeMeasure.options.map((value) => ({ value, label: MEASURE_WORDS[value] }))}
        />
      }
    >
      <QueryView query={query} skeleton={<BlockSkeleton height={420} />}>
        {(detail) =>
          parts && (
            <div style={{ opacity: query.isPlaceholderData ? 0.5 : 1 }} aria-busy={query.isPlaceholderData}>
              <Subhead
                title="By shift"
                csv={<CsvButton fileName={file('shifts')} columns={PART_CSV_COLUMNS} rows={parts.byKind} />}
              />
              <PartTable
                label="Differences by shift"
                nameTitle="Shift"
                parts={parts.byKind}
                reach={parts.reach}
                base={base}
                other={other}
              />
              <Subhead
                title="By load"
                csv={<CsvButton fileName={file('loads')} columns={PART_CSV_COLUMNS} rows={parts.byLoad} />}
              />
              <PartTable
                label="Differences by load"
                nameTitle="Load"
                parts={parts.byLoad}
                reach={parts.reach}
                base={base}
                other={other}
              />
              <ShadeKey reach={parts.reach} />
              <Subhead
                title="By car"
                csv={<CsvButton fileName={file('cars')} columns={VEHICLE_CSV_COLUMNS} rows={detail.byVehicle} />}
              />
              <Forest detail={detail} base={base} other={other} />
            </div>
          )
        }
      </QueryView>
    </Section>
  );
}

function Subhead({ title, csv }: { readonly title: string; readonly csv: React.ReactNode }) {
  return (
    <div className={classes.mapHead} style={{ marginTop: 18 }}>
      <h3>{title}</h3>
      {csv}
    </div>
  );
}

/** What the swatches beside the adjusted differences mean. */
function ShadeKey({ reach }: { readonly reach: number }) {
  const scheme = useScheme();
  return (
    <div className={classes.key}>
      <RampKey
        low={`less, ${pointsWords(-reach)}`}
        high={`more, ${pointsWords(reach)}`}
        colourAt={(share) => divergingColour(2 * share - 1, scheme)}
      />
      <span>faded, then hatched: wide interval</span>
    </div>
  );
}

/** The parts of the driving with the way to the shifts behind each, and one scale for all their bars. */
function partsOf({ measure, byKind, byLoadBand, whole }: CompareDetailResponse, loadBands: readonly Band[]) {
  const sort = SORT_OF_MEASURE[measure];
  const kinds = byKind.map(({ kind, ...part }): ComparedPart => ({ ...part, name: kind, search: { kind, sort } }));
  const loads = byLoadBand.map(({ loadBand, label, ...part }): ComparedPart => {
    const band = loadBands.find(({ index }) => index === loadBand);
    const limits = { loadMin: band?.low ?? undefined, loadMax: band?.high ?? undefined };
    return { ...part, name: label, search: band !== undefined && hasLimits(band) ? { ...limits, sort } : null };
  });
  return { byKind: kinds, byLoad: loads, reach: reachOfParts(whole.adjusted, [...kinds, ...loads]) };
}

const VEHICLE_CSV_COLUMNS = [
  { header: 'vehicle', cell: (row: ComparedVehicle) => row.title },
  { header: 'base events', cell: (row: ComparedVehicle) => row.baseEvents },
  { header: 'base shifts', cell: (row: ComparedVehicle) => row.baseShifts },
  { header: 'other events', cell: (row: ComparedVehicle) => row.otherEvents },
  { header: 'other shifts', cell: (row: ComparedVehicle) => row.otherShifts },
  { header: 'adjusted difference (share)', cell: (row: ComparedVehicle) => row.difference?.difference ?? null },
  { header: 'low (share)', cell: (row: ComparedVehicle) => row.difference?.low ?? null },
  { header: 'high (share)', cell: (row: ComparedVehicle) => row.difference?.high ?? null },
  { header: 'weight (share)', cell: (row: ComparedVehicle) => row.weight },
];
