import { DISTRIBUTED, type ShiftDistributionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { lazy, Suspense, useMemo } from 'react';
import { shiftQueries } from '../../api/shifts.js';
import { csvFileName } from '../../format/csv.js';
import { MEASURED, type MeasuredQuantity } from '../../format/measured.js';
import { counted, formatCount, formatNumber, formatQuantity } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Folded } from '../../parts/folded.js';
import { LateSelect } from '../../parts/late-select.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import { distributionWords } from './distribution-words.js';
import { type Bin, binsOf, edgeDigits } from './histogram-bins.js';
import { drawnQuantity, filterOf, withinBin } from './shift-view.js';
import type { ShiftsSearch } from './shifts-search.js';

const HEIGHT_PX = 170;
/** Room of the choice of quantity (px). */
const CHOICE_WIDTH_PX = 210;

/** Drawing comes after the figures. */
const Histogram = lazy(async () => ({ default: (await import('./histogram.js')).Histogram }));

const CHOICES = DISTRIBUTED.map((value) => ({ value, label: nameOf(value) }));

interface DistributionSectionProps {
  readonly search: ShiftsSearch;
  /** The list stands there: the plot comes after it. */
  readonly hasList: boolean;
  readonly onChange: (change: Partial<ShiftsSearch>) => void;
}

/** How one quantity is spread over every shift that matches, not only those in sight. */
export function DistributionSection({ search, hasList, onChange }: DistributionSectionProps) {
  const quantity = drawnQuantity(search);
  const query = useQuery(shiftQueries.distribution(filterOf(search), quantity));
  const bins = useMemo(() => (query.data === undefined ? [] : binsOf(query.data)), [query.data]);
  return (
    <Section
      title="Distribution"
      actions={
        <>
          <LateSelect
            aria-label="Quantity of the distribution"
            size="xs"
            w={CHOICE_WIDTH_PX}
            allowDeselect={false}
            data={CHOICES}
            value={quantity}
            onChange={(value) => onChange({ quantity: (value as MeasuredQuantity | null) ?? undefined })}
          />
          <CsvButton fileName={csvFileName('distribution', quantity)} columns={csvColumns(quantity)} rows={bins} />
        </>
      }
    >
      <QueryView query={query} skeleton={<BlockSkeleton height={HEIGHT_PX + 60} />}>
        {(found) => (
          <div style={{ opacity: query.isPlaceholderData ? 0.5 : 1 }} aria-busy={query.isPlaceholderData}>
            <Distribution found={found} bins={bins} search={search} isPlotDue={hasList} />
          </div>
        )}
      </QueryView>
    </Section>
  );
}

interface DistributionProps {
  readonly found: ShiftDistributionResponse;
  readonly bins: readonly Bin[];
  readonly search: ShiftsSearch;
  readonly isPlotDue: boolean;
}

function Distribution({ found, bins, search, isPlotDue }: DistributionProps) {
  const { quantity, measuredCount, unmeasuredCount, p05, p50, p95 } = found;
  const { title, unit } = MEASURED[quantity];
  const quantiles = useMemo(() => quantileMarks({ p05, p50, p95 }), [p05, p50, p95]);
  const words = distributionWords(found);
  if (measuredCount === 0) return <p>{words}</p>;
  return (
    <>
      <p style={{ margin: '0 0 6px', fontSize: 13 }}>{words}</p>
      <Suspense fallback={<BlockSkeleton height={HEIGHT_PX} />}>
        {isPlotDue ? (
          <Histogram
            bins={bins}
            quantiles={quantiles}
            axisLabel={nameOf(quantity)}
            label={`Histogram of ${title.toLowerCase()} over ${counted(measuredCount, 'shift')}. ${words}`}
            height={HEIGHT_PX}
          />
        ) : (
          <BlockSkeleton height={HEIGHT_PX} />
        )}
      </Suspense>
      <Folded summary="As a table">
        {() => (
          <DataTable
            label={`Distribution of ${title.toLowerCase()}`}
            columns={binColumns(search, quantity, {
              digits: edgeDigits(bins),
              unit,
              of: measuredCount + unmeasuredCount,
            })}
            rows={bins}
            rowId={({ low }) => String(low)}
          />
        )}
      </Folded>
    </>
  );
}

function quantileMarks({ p05, p50, p95 }: Pick<ShiftDistributionResponse, 'p05' | 'p50' | 'p95'>) {
  const marks = [
    { at: p05, name: '5 %' },
    { at: p50, name: '50 %' },
    { at: p95, name: '95 %' },
  ].flatMap(({ at, name }) => (at === null ? [] : [{ at, name }]));
  // Where most shifts have the same value, for instance no flare, marks fall on each other: the last one says enough.
  return marks.filter(({ at }, place) => marks.findLastIndex((mark) => mark.at === at) === place);
}

interface BinWords {
  readonly digits: number;
  readonly unit: string;
  /** All shifts that match. */
  readonly of: number;
}

function binColumns(
  search: ShiftsSearch,
  quantity: MeasuredQuantity,
  { digits, unit, of }: BinWords,
): readonly DataColumn<Bin>[] {
  return [
    {
      id: 'range',
      title: nameOf(quantity),
      isShort: true,
      render: (bin) => {
        const text = `${formatNumber(bin.low, digits)} to ${formatQuantity(bin.high, unit, digits)}`;
        const narrowed = withinBin(search, quantity, bin);
        return narrowed === undefined ? (
          text
        ) : (
          <TextLink to="/shifts" search={narrowed} resetScroll={false}>
            {text}
          </TextLink>
        );
      },
    },
    { id: 'shifts', title: 'Shifts', isNumber: true, render: ({ shifts }) => formatCount(shifts) },
    {
      id: 'share',
      title: 'Of all that match',
      isNumber: true,
      render: ({ shifts }) => formatQuantity((100 * shifts) / of, '%'),
    },
  ];
}

function csvColumns(quantity: MeasuredQuantity) {
  const { title, unit } = MEASURED[quantity];
  const inUnit = unit === '' ? '' : ` (${unit})`;
  return [
    { header: `${title.toLowerCase()} from${inUnit}`, cell: ({ low }: Bin) => low },
    { header: `${title.toLowerCase()} below${inUnit}`, cell: ({ high }: Bin) => high },
    { header: 'shifts', cell: ({ shifts }: Bin) => shifts },
  ];
}

/** “Flare speed (rpm)”. */
function nameOf(quantity: MeasuredQuantity): string {
  const { title, unit } = MEASURED[quantity];
  return unit === '' ? title : `${title} (${unit})`;
}
